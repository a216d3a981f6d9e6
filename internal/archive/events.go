package archive

import (
	"context"
	"database/sql"
	"errors"
	"iter"
	"strings"
	"time"

	"ionoscribe/internal/alerts"
)

// EventQuery asks for what alerts were told of.
type EventQuery struct {
	From, To time.Time
	Lines    int                   // of texts that are read at most; 0: no text is
	Read     func(since time.Time) // is told since when, up to To, all transmissions have been given
}

var errEnough = errors.New("no more is wanted")

// Events are what alerts were told of what the archive has of a time, so that a rule can be tried on it. Transmissions come one
// behind the other, the latest first, each with its text.
func (r *Reader) Events(ctx context.Context, q EventQuery) iter.Seq2[alerts.Event, error] {
	return func(yield func(alerts.Event, error) bool) {
		err := r.eventsOfStation(ctx, q, yield)
		for end := q.To; err == nil && end.After(q.From); end = end.Add(-24 * time.Hour) { // some thousand transmissions at a time
			err = r.eventsOnAir(ctx, latest(q.From, end.Add(-24*time.Hour)), end, &q, yield)
		}
		if err == nil {
			q.Read(q.From)
		}
		if err != nil && err != errEnough {
			yield(alerts.Event{}, r.failed(err))
		}
	}
}

// eventsOfStation are those of the programme and of what failed.
func (r *Reader) eventsOfStation(ctx context.Context, q EventQuery, yield func(alerts.Event, error) bool) error {
	whats := map[Outcome]alerts.What{Came: alerts.EntryCame, Poor: alerts.EntryPoor, Missed: alerts.EntryMissed}
	expected, err := r.Expected(ctx, q.From, q.To)
	for _, x := range expected {
		e := alerts.Event{What: whats[x.Outcome], UTC: x.Closes, Receiver: x.Receiver, Transmission: int64(x.Transmission), Mode: x.Mode, FrequencyHz: x.Hz, Entry: x.Entry, Title: x.Title, Detail: x.Why}
		if e.What != "" && !yield(e, nil) {
			return errEnough
		}
	}
	if err != nil {
		return err
	}
	incidents, err := r.Incidents(ctx, q.From, q.To)
	for _, i := range incidents {
		what, detail, _ := strings.Cut(i.Text, ": ")
		if i.What == Ill && !yield(alerts.Event{What: alerts.What(what), UTC: i.At, Receiver: i.Receiver, Detail: detail}, nil) {
			return errEnough
		}
	}
	return err
}

// eventsOnAir are those of transmissions that began in a time, and of their texts.
func (r *Reader) eventsOnAir(ctx context.Context, from, to time.Time, q *EventQuery, yield func(alerts.Event, error) bool) error {
	all, err := list(ctx, r.db, func(s *sql.Rows) (Transmission, error) { return scanTransmission(s) },
		"SELECT "+transmissionColumns+" FROM transmission WHERE begun >= ? AND begun < ? ORDER BY begun DESC, id DESC", millis(from), millis(to))
	if err != nil {
		return err
	}
	for _, t := range all {
		e := alerts.Event{What: alerts.SignalBegan, UTC: t.Begun, Receiver: t.Receiver, Transmission: int64(t.ID), Mode: t.Mode, Entry: t.Entry, Title: t.Title}
		if t.OnAir {
			e.FrequencyHz = t.Hz
		}
		if !yield(e, nil) {
			return errEnough
		}
		if q.Lines == 0 {
			continue
		}
		if q.Lines -= t.Lines; q.Lines <= 0 {
			return errEnough
		}
		text, err := lines(ctx, r.db, lineID(t.ID, 0), lineID(t.ID+1, 0))
		if err != nil {
			return err
		}
		for _, l := range text {
			for _, c := range l.Chars {
				e.What, e.UTC, e.Text, e.Confidence = alerts.SignalText, c.At, c.Text, c.Confidence
				if !yield(e, nil) {
					return errEnough
				}
			}
			e.What, e.UTC, e.Text, e.Confidence = alerts.SignalText, l.Ended, "\n", 1 // which ended the line, and is not kept
			if !yield(e, nil) {
				return errEnough
			}
		}
		e.What, e.UTC, e.Text = alerts.SignalEnded, t.Ended, ""
		if !yield(e, nil) {
			return errEnough
		}
		q.Read(t.Begun)
	}
	return nil
}

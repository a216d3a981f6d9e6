package archive

import (
	"cmp"
	"context"
	"database/sql"
	"slices"
	"time"
)

// Span is a time from one instant to another.
type Span struct{ From, To time.Time }

// Silence is a time in which a receiver was not heard.
type Silence struct {
	Span
	Why string // in words
}

// Hearing says when a receiver was heard. What is in neither list is to come.
type Hearing struct {
	Receiver string
	Heard    []Span
	Silences []Silence
}

// What silences have as their reason where no error is known.
const (
	notListened = "the receiver was not listened to"
	wasStopped  = "the station was stopped"
	notStarted  = "the receiver had not been started yet"
	wasLost     = "samples were lost"
	wasKilled   = "the program ended without notice"
)

// stopping is how long a station may take to stop after its receivers.
const stopping = 10 * time.Second

// Heard tells when each receiver that was ever started was heard between two times, or until now if that is earlier, by what the
// station told of starts, stops and lost samples.
func (r *Reader) Heard(ctx context.Context, from, to, now time.Time) (all []Hearing, err error) {
	if now.Before(to) {
		to = now
	}
	err = r.moment(ctx, func(c *sql.Conn) error {
		names, err := list(ctx, c, func(s *sql.Rows) (name string, err error) { return name, s.Scan(&name) },
			"SELECT DISTINCT receiver FROM incident INDEXED BY incident_heard WHERE what IN ('started', 'stopped') AND receiver <> '' ORDER BY receiver")
		if err != nil {
			return err
		}
		station, err := turns(ctx, c, "", from, to.Add(stopping))
		if err != nil {
			return err
		}
		lost, err := list(ctx, c, scanIncident, "SELECT "+incidentColumns+" FROM incident WHERE at >= ? AND at < ? AND what = 'gap' ORDER BY at, id", millis(from), millis(to))
		if err != nil {
			return err
		}
		for _, name := range names {
			own, err := turns(ctx, c, name, from, to)
			if err != nil {
				return err
			}
			h := Hearing{Receiver: name}
			h.follow(own, station, from, to)
			h.lose(lost)
			all = append(all, h)
		}
		return nil
	})
	return all, r.failed(err)
}

// turns are the starts and stops of a receiver, or of the station, in a time, and the last one before it.
func turns(ctx context.Context, c *sql.Conn, receiver string, from, to time.Time) ([]Incident, error) {
	const of = "SELECT " + incidentColumns + " FROM incident INDEXED BY incident_heard WHERE what IN ('started', 'stopped') AND receiver = ? AND at "
	before, err := list(ctx, c, scanIncident, of+"< ? ORDER BY at DESC, id DESC LIMIT 1", receiver, millis(from))
	if err != nil {
		return nil, err
	}
	during, err := list(ctx, c, scanIncident, of+">= ? AND at < ? ORDER BY at, id", receiver, millis(from), millis(to))
	return append(before, during...), err
}

// follow goes through a receiver's starts and stops.
func (h *Hearing) follow(own, station []Incident, from, to time.Time) {
	at, heard, why := from, false, notStarted
	until := func(t time.Time) {
		switch t = latest(at, t); {
		case !t.After(at):
		case heard:
			h.Heard = append(h.Heard, Span{at, t})
		default:
			h.Silences = append(h.Silences, Silence{Span{at, t}, why})
		}
		at = t
	}
	for _, i := range own {
		until(i.At)
		if heard = i.What == Started; !heard {
			why = whyStopped(i, station)
		}
	}
	until(to)
}

// whyStopped is why a receiver was stopped.
func whyStopped(i Incident, station []Incident) string {
	if i.Text != "" {
		return i.Text
	}
	for _, s := range station {
		if after := s.At.Sub(i.At); s.What == Stopped && after >= 0 && after < stopping {
			return wasStopped
		}
	}
	return notListened
}

// together is how near to each other losses of samples are told as one: in a day they could not be told apart.
const together = time.Minute

// lose adds the times in which samples were lost.
func (h *Hearing) lose(lost []Incident) {
	var last *Silence
	for _, i := range lost {
		end := i.At.Add(time.Duration(i.Seconds * float64(time.Second)))
		switch {
		case i.Receiver != h.Receiver:
		case last != nil && i.At.Sub(last.To) < together: // or the same one, which was told of before it was over
			last.To = latest(last.To, end)
		default:
			h.Silences = append(h.Silences, Silence{Span{i.At, end}, wasLost})
			last = &h.Silences[len(h.Silences)-1]
		}
	}
	slices.SortStableFunc(h.Silences, func(a, b Silence) int { return a.From.Compare(b.From) })
}

func latest(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// stopKilled tells of receivers that were being heard when the program was killed that they were stopped, at the last time that is known
// of anything.
func (a *Archive) stopKilled(ctx context.Context, w *writer) error {
	started, err := list(ctx, w.conn, scanIncident, `SELECT `+incidentColumns+` FROM incident WHERE id IN (
		SELECT (SELECT id FROM incident last INDEXED BY incident_heard WHERE what IN ('started', 'stopped') AND last.receiver = names.receiver ORDER BY at DESC, id DESC LIMIT 1)
		FROM (SELECT DISTINCT receiver FROM incident INDEXED BY incident_heard WHERE what IN ('started', 'stopped')) names) AND what = 'started'`)
	if err != nil || len(started) == 0 {
		return err
	}
	var last int64
	err = w.conn.QueryRowContext(ctx, `SELECT max((SELECT max(at) FROM incident), (SELECT coalesce(max(ended), 0) FROM (SELECT ended FROM transmission ORDER BY id DESC LIMIT ?)))`,
		mostTogether).Scan(&last)
	if err != nil {
		return err
	}
	slices.SortFunc(started, func(a, b Incident) int { return -cmp.Compare(a.Receiver, b.Receiver) }) // receivers stop before the station does
	for _, i := range started {
		a.lastIncident++
		if err := w.exec(putIncident, a.lastIncident, last, Stopped, i.Receiver, 0, 0, wasKilled); err != nil {
			return err
		}
	}
	return nil
}

// mostTogether bounds how many transmissions a station receives at a time.
const mostTogether = 1000

package web

import (
	"context"
	"errors"
	"net/http"
	"time"

	"ionoscribe/internal/access"
	"ionoscribe/internal/archive"
)

func (s *Server) dayRoutes() []route {
	return []route{
		{"GET", "/api/day", access.Look, s.day},
		{"GET", "/api/band", access.Look, s.band},
	}
}

// mostCame bounds what a day shows: a quarter of a minute each for a whole day.
const mostCame = 5000

func (s *Server) day(_ http.ResponseWriter, r *http.Request) (any, error) {
	q := queryOf(r, "date")
	now := s.clock().UTC()
	date := now.Truncate(24 * time.Hour)
	if v := q.text("date"); v != "" {
		var err error
		if date, err = time.Parse(time.DateOnly, v); err != nil {
			q.wrong(badRequest("date = %q is no date such as 2026-03-04", v))
		}
	}
	if q.err != nil {
		return nil, q.err
	}
	ctx, cancel := inTime(r)
	defer cancel()
	d, err := s.readDay(ctx, date, now)
	if err != nil {
		return nil, fromArchive(err)
	}
	return struct {
		Date  string  `json:"date"`
		Lanes []*lane `json:"lanes"`
	}{date.Format(time.DateOnly), notNil(d.lanes())}, nil
}

// readDay reads what the station knows of a day.
func (s *Server) readDay(ctx context.Context, date, now time.Time) (*dayBook, error) {
	end := date.Add(24 * time.Hour)
	d := &dayBook{from: date, to: end}
	var err, e error
	d.came, e = s.Archive.During(ctx, date, end, mostCame)
	err = errors.Join(err, e)
	d.expected, e = s.Archive.Expected(ctx, date, end)
	err = errors.Join(err, e)
	d.heard, e = s.Archive.Heard(ctx, date, end, now)
	err = errors.Join(err, e)
	if s.Station == nil {
		return d, err
	}
	for _, st := range s.Station.Status() {
		d.receivers = append(d.receivers, st.Name)
	}
	// What is to come is not in the archive yet.
	known := map[string]bool{}
	for _, x := range d.expected {
		known[x.Key] = true
	}
	d.ends = map[string]time.Time{}
	for _, o := range s.Station.Programme(date, end) {
		if o.Entry.Length > 0 {
			d.ends[o.Key()] = o.Ends()
		}
		if o.Closes.After(now) && !known[o.Key()] {
			d.expected = append(d.expected, archive.Expected{Key: o.Key(), Entry: o.Entry.ID, Title: o.Entry.Title, Mode: o.Entry.Mode, Hz: o.Entry.FrequencyHz,
				At: o.At, Closes: o.Closes, Outcome: archive.Due})
		}
	}
	return d, err
}

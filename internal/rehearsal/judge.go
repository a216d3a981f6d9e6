package rehearsal

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"runtime"
	"strconv"
	"time"

	"ionoscribe/internal/alerts"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/programme"
	"ionoscribe/internal/station"
	"ionoscribe/internal/stationfile"
)

// Result is what a station made of a plan.
type Result struct {
	Broadcasts int // that were sent
	Planned    int // of them, on the programme
	Filed      int // of these, under their titles
	Silent     int // on the programme, but not sent
	Missed     int // of these, known as missed
	Wrong      []string
	Problems   []archive.Problem // of the archive
	Deleted    int               // by retention
	First      Use               // at the end of the first day
	Last       Use               // at the end of the last one
	Alerts     int
}

// Use is what the process uses.
type Use struct {
	HeapBytes uint64
	Files     int // open
}

func useOf() Use {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	files, _ := os.ReadDir("/proc/self/fd")
	return Use{m.HeapAlloc, len(files)}
}

// mostWrong bounds what is told of one by one.
const mostWrong = 50

// openStation opens a station in dir for the plan; days gets a moment of each day.
func (p Plan) openStation(dir string, log *slog.Logger, days chan<- time.Time) (*station.Station, error) {
	c := &stationfile.Config{
		Name: "rehearsal", Programme: p.programme(),
		Keep: stationfile.Keep{Charts: stationfile.Limit{Age: 20 * 24 * time.Hour}, Videos: stationfile.Limit{Age: 2 * 24 * time.Hour}},
		Ways: []alerts.WayConfig{{Name: "none", Command: []string{"true"}}},
		Alerts: []alerts.Rule{
			{Name: "missed", Programme: []alerts.What{alerts.EntryMissed}, Ways: []string{"none"}},
			{Name: "gale", Text: []string{"gale warning"}, Ways: []string{"none"}, LeastInterval: alerts.Duration(time.Hour)},
		},
	}
	for _, r := range receivers {
		c.Receivers = append(c.Receivers, stationfile.Receiver{Name: r.name, Source: "rehearsal:" + r.name, DialHz: r.dialHz, Sideband: "upper"})
	}
	open := func(_ context.Context, r stationfile.Receiver, _ float64) (*station.Input, error) {
		for i, k := range receivers {
			if k.name == r.Name {
				return p.watched(i, days), nil
			}
		}
		return nil, errors.New("there is no such receiver")
	}
	return station.Open(dir, c, station.Options{BySamples: true, Log: log, Now: func() time.Time { return p.Begin }, Open: open})
}

// Run has a station in dir keep watch over the plan, and says what it made of it.
func (p Plan) Run(ctx context.Context, dir string, log *slog.Logger) (res Result, err error) {
	if p.Begin.IsZero() {
		p.Begin = Begin
	}
	days := make(chan time.Time)
	s, err := p.openStation(dir, log, days)
	if err != nil {
		return res, err
	}
	uses := make(chan []Use)
	go func() {
		var all []Use
		for range days {
			all = append(all, useOf())
		}
		uses <- all
	}()
	err = s.Run(ctx)
	close(days)
	if all := <-uses; len(all) > 0 {
		res.First, res.Last = all[0], all[len(all)-1]
	}
	if err != nil {
		return res, err
	}
	return res, p.judge(ctx, dir, &res)
}

// watched is the source of a receiver, the first of which tells when a day is nearly over.
func (p Plan) watched(receiver int, days chan<- time.Time) *station.Input {
	in := p.open(receiver)
	if receiver != 0 {
		return in
	}
	each := in.Each
	in.Each = func(ctx context.Context, take func(station.Block)) error {
		at, day := int64(0), 0
		return each(ctx, func(b station.Block) {
			take(b)
			at += int64(b.Len())
			if now := in.Time(at); now.Sub(p.Begin) > time.Duration(day+1)*24*time.Hour-endOfDay {
				day++
				days <- now
			}
		})
	}
	return in
}

// endOfDay is how long before midnight a day is nearly over: the last broadcast is about to be heard.
const endOfDay = 3 * time.Hour

// judge compares the archive with what was sent.
func (p Plan) judge(ctx context.Context, dir string, res *Result) error {
	a, err := archive.OpenReader(dir)
	if err != nil {
		return err
	}
	defer a.Close()
	end := p.Begin.AddDate(0, 0, p.Days)
	known, err := a.Expected(ctx, p.Begin, end)
	if err != nil {
		return err
	}
	became := map[string]archive.Expected{}
	for _, x := range known {
		if old, ok := became[x.Key]; !ok || old.Outcome == archive.Due {
			became[x.Key] = x
		}
	}
	wrong := func(form string, args ...any) {
		if len(res.Wrong) < mostWrong {
			res.Wrong = append(res.Wrong, fmt.Sprintf(form, args...))
		}
	}
	entries := map[string]programme.Entry{}
	for _, e := range p.programme() {
		entries[e.ID] = e
	}
	for k := range receivers {
		for _, b := range p.broadcasts(k) {
			if !b.silent {
				res.Broadcasts++
			}
			if b.entry == "" {
				continue
			}
			e := entries[b.entry]
			day := b.at.UTC().Truncate(24 * time.Hour)
			o := programme.Occurrence{Entry: e, At: day.Add(time.Duration(e.Times[0]) * time.Minute)}
			x := became[o.Key()]
			switch {
			case b.silent:
				if res.Silent++; x.Outcome == archive.Missed {
					res.Missed++
				} else {
					wrong("%s was not sent, but %q", o.Key(), x.Outcome)
				}
			case x.Outcome != archive.Came && x.Outcome != archive.Poor:
				res.Planned++
				wrong("%s (%s at %.0f Hz, %.0f dB) was sent, but %q", o.Key(), b.mode.Name, b.hz, b.snr, x.Outcome)
			default:
				res.Planned++
				if t, err := a.Transmission(ctx, x.Transmission); errors.Is(err, archive.ErrNone) || err == nil && t.Title == e.Title {
					res.Filed++ // or deleted by now
				} else {
					wrong("%s is filed as %v, %v", o.Key(), t, err)
				}
			}
		}
	}
	gone, err := a.Deletions(ctx, p.Begin, end.AddDate(0, 0, 1))
	if err != nil {
		return err
	}
	res.Deleted = len(gone)
	res.Problems, err = a.Check(ctx)
	return err
}

// String is a table.
func (r Result) String() string {
	mb := func(u Use) string { return strconv.FormatFloat(float64(u.HeapBytes)/1e6, 'f', 1, 64) }
	return fmt.Sprintf(`broadcasts         %7d
on the programme   %7d, filed under their titles %d
not sent           %7d, known as missed %d
deleted            %7d
archive            %7d problems
heap               %7s MB on the first day, %s MB on the last
open files         %7d on the first day, %d on the last`,
		r.Broadcasts, r.Planned, r.Filed, r.Silent, r.Missed, r.Deleted, len(r.Problems), mb(r.First), mb(r.Last), r.First.Files, r.Last.Files)
}

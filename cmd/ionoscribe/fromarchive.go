package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"ionoscribe/demod"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/soundring"
	"ionoscribe/internal/stationfile"
)

// fromArchiveOptions say what of a station's sound is copied again, in the place of a source.
type fromArchiveOptions struct {
	station  string
	receiver string
	between  string
	entry    string
}

func (o *fromArchiveOptions) addFlags(f *pflag.FlagSet) {
	f.StringVar(&o.receiver, "from-archive", "", "copy the sound that a station has kept of a `RECEIVER`, in the place of SOURCE")
	f.StringVar(&o.between, "between", "", "`BEGIN,END` of that sound in UTC, such as 2026-03-04T06:00,2026-03-04T06:30")
	f.StringVar(&o.entry, "entry", "", "`ID` of a programme entry, in the place of --between: when it was due last")
	f.StringVar(&o.station, "station", "station", "`FOLDER` of the station")
}

// ordered says that sound of an archive is ordered.
func (o fromArchiveOptions) ordered() bool { return o.receiver != "" }

// sources checks the options, and gives the sources in the place of which they stand.
func (o fromArchiveOptions) sources(given []string) ([]string, error) {
	switch {
	case !o.ordered() && (o.between != "" || o.entry != ""):
		return nil, usageError{errors.New("--between and --entry go with --from-archive")}
	case !o.ordered() && len(given) == 0:
		return nil, usageError{errors.New("a SOURCE is missing, or --from-archive")}
	case !o.ordered():
		return given, nil
	case len(given) > 0:
		return nil, usageError{errors.New("--from-archive takes the place of SOURCE")}
	case (o.between == "") == (o.entry == ""):
		return nil, usageError{errors.New("--from-archive goes with either --between or --entry")}
	}
	return []string{o.receiver}, nil
}

// span is from when to when the sound is ordered.
func (o fromArchiveOptions) span(ctx context.Context, now time.Time) (from, to time.Time, err error) {
	if o.entry != "" {
		return o.due(ctx, now)
	}
	begin, end, ok := strings.Cut(o.between, ",")
	if ok {
		from, ok = parseTime(begin)
	}
	if ok {
		to, ok = parseTime(end)
	}
	if !ok || !from.Before(to) {
		return from, to, usageError{fmt.Errorf("--between %q is not two times such as 2026-03-04T06:00,2026-03-04T06:30", o.between)}
	}
	return from, to, nil
}

// What is copied of a programme entry besides the time in which it may begin: what a chart takes, if it is not said.
const (
	entryBefore = time.Minute
	entryAfter  = 25 * time.Minute
	entryMemory = 30 * 24 * time.Hour // as long as any sound is kept
)

// due is when a programme entry was due last.
func (o fromArchiveOptions) due(ctx context.Context, now time.Time) (from, to time.Time, err error) {
	a, err := archive.OpenReader(o.station)
	if err != nil {
		return from, to, err
	}
	defer a.Close()
	all, err := a.Expected(ctx, now.Add(-entryMemory), now)
	if err != nil {
		return from, to, err
	}
	for _, x := range all {
		if x.Entry == o.entry {
			from, to = x.At.Add(-entryBefore), x.Closes.Add(entryAfter)
		}
	}
	if from.IsZero() {
		return from, to, usageError{fmt.Errorf("--entry %s was not due in the last 30 days; \"ionoscribe programme\" lists the entries", o.entry)}
	}
	return from, to, nil
}

// open opens the sound.
func (o fromArchiveOptions) open(ctx context.Context) (*passband, error) {
	from, to, err := o.span(ctx, time.Now())
	if err != nil {
		return nil, err
	}
	span, err := soundring.Read(o.station, o.receiver, from, to)
	if err != nil {
		return nil, err
	}
	s := kept{Span: span, dial: o.dial()}
	if span.IQ {
		q := &stream[complex64]{source: s, read: span.ReadIQ, path: o.receiver}
		q.start(ctx)
		return &passband{source: s, iq: q}, nil
	}
	a := &stream[float32]{source: s, read: span.ReadSamples, path: o.receiver}
	a.start(ctx)
	return &passband{source: s, audio: a}, nil
}

// dial is where the receiver is tuned to by the station's configuration, 0 if that does not tell.
func (o fromArchiveOptions) dial() float64 {
	c, err := stationfile.Load(filepath.Join(o.station, stationfile.Name))
	if err != nil {
		return 0
	}
	for _, r := range c.Receivers {
		if r.Name == o.receiver {
			return r.DialHz
		}
	}
	return 0
}

// kept is sound that a station has kept, as a source.
type kept struct {
	*soundring.Span
	dial float64
}

func (kept) Length() int64     { return -1 }
func (kept) StartFrom() string { return "the station" }
func (k kept) Dial() float64   { return k.dial }
func (kept) DialFrom() string  { return "the station" }
func (kept) Report() string    { return "" }
func (k kept) Time(sample int64) time.Time {
	return k.Begin.Add(demod.Rate(k.SampleRate()).Duration(sample))
}

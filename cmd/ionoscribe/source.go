package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"time"

	"github.com/spf13/pflag"

	"ionoscribe/audio"
	"ionoscribe/demod"
	"ionoscribe/internal/fault"
	"ionoscribe/internal/flags"
)

// sourceOptions say how to read the sources.
type sourceOptions struct {
	rate     float64
	encoding string
	channels int
	channel  string
	iq       string
	dial     frequency // on the air
	tune     tuning    // within complex samples
	start    string
	notes    io.Writer // gets a line on what a live source lost
}

func (o *sourceOptions) addFlags(f *pflag.FlagSet) {
	flags.Under(flags.WhereFrom, f, func(f *pflag.FlagSet) {
		f.Float64Var(&o.rate, "rate", 0, "`Hz`: sample rate of raw samples")
		f.StringVar(&o.encoding, "encoding", "", "`FORM` of raw samples: u8, s8, s16le, s24le, s32le, f32le, f64le, the same with be, alaw or mulaw; complex: cu8, cs8, cs16 or cf32")
		f.IntVar(&o.channels, "channels", 1, "`NUMBER` of channels of raw samples, interleaved")
		f.StringVar(&o.channel, "channel", "left", "`CHANNEL` to read: left, right, mix or its number from 1")
		f.StringVar(&o.iq, "iq", "", "read both channels as I and Q, in a `FORM`: normal, swapped or mirrored (a wrong sign of Q); the last two do the same")
		f.Var(&o.dial, "dial", "`FREQUENCY` on the air that the receiver is tuned to, its carrier's, such as 7878.1kHz, or with --iq that of the middle (default: what the recording or its name tells)")
		f.Var(&o.tune, "tune", "`FREQUENCY` within the band of --iq to listen at, as a receiver in upper sideband does, which hears 100 to 4500 Hz above: on the air or, with a sign, from the middle")
		flags.Choices(f, "encoding", "u8", "s8", "s16le", "s24le", "s32le", "f32le", "f64le", "s16be", "s24be", "s32be", "f32be", "f64be", "alaw", "mulaw", "cu8", "cs8", "cs16", "cf32")
		flags.Choices(f, "channel", "left", "right", "mix")
		flags.Choices(f, "iq", audio.IQNormal, audio.IQSwapped, audio.IQMirrored)
		f.StringVar(&o.start, "start", "", "`TIME` (UTC) of the first sample, such as 2026-03-04T12:00:00Z (default: found out)")
	})
}

// timeForms are tried in turn; without a zone they are UTC.
var timeForms = []string{time.RFC3339, "2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02 15:04"}

// opening is all that it takes to open a source.
type opening struct {
	audio.Options
	tune  tuning    // of a receiver on complex samples
	asIs  bool      // no channel was ordered but the usual one
	notes io.Writer // see sourceOptions
}

func (o sourceOptions) opening(in io.Reader) (opening, error) {
	a := opening{audio.Options{
		Rate: o.rate, Encoding: audio.Encoding(o.encoding), Channels: o.channels, Channel: o.channel, IQ: o.iq, Stdin: in, Dial: float64(o.dial),
	}, o.tune, o.iq == "" && (o.channel == "" || o.channel == "left"), o.notes}
	if o.channels < 1 {
		return a, usageError{fmt.Errorf("--channels %d: there is at least one", o.channels)}
	}
	if o.start == "" {
		return a, nil
	}
	if t, ok := parseTime(o.start); ok {
		if a.Start = t; !audio.UsableStart(a.Start) {
			return a, usageError{fmt.Errorf("--start %s: the year is not within 1900 and 9998", o.start)}
		}
		return a, nil
	}
	return a, usageError{fmt.Errorf("--start %q is not a time such as 2026-03-04T12:00:00Z", o.start)}
}

// ownSource is a source with settings of its own, ready to be opened.
type ownSource struct {
	path    string
	opening opening
}

// openAll takes sources apart.
func (o sourceOptions) openAll(sources []string, in io.Reader) ([]ownSource, error) {
	var all []ownSource
	for _, source := range sources {
		path, own, err := o.at(source)
		if err != nil {
			return nil, err
		}
		a, err := own.opening(in)
		if err != nil {
			return nil, err
		}
		all = append(all, ownSource{path, a})
	}
	return all, nil
}

func pathsOf(own []ownSource) (paths []string) {
	for _, o := range own {
		paths = append(paths, o.path)
	}
	return paths
}

// checkSources finds what cannot be with several sources.
func (o sourceOptions) checkSources(sources []string) error {
	first := slices.Index(sources, "-")
	switch {
	case o.start != "" && len(sources) > 1:
		return usageError{errors.New("--start is the time of one source, but there are several; give them one by one")}
	case first >= 0 && slices.Contains(sources[first+1:], "-"):
		return usageError{errors.New("standard input can be read once only; give - once")}
	}
	return nil
}

// block is some samples and what came after them.
type block[T float32 | complex64] struct {
	samples []T
	lost    int64 // of them, silence in the place of what was lost
	err     error
}

// timed is what knows when each of its samples was, and how.
type timed interface {
	Time(sample int64) time.Time // UTC
	StartFrom() string
}

// source is what is read: a *audio.Source, a *audio.IQSource, or a receiver on one.
type source interface {
	SampleRate() float64
	Length() int64 // samples; -1: unknown
	timed
	Dial() float64 // Hz; 0: unknown
	DialFrom() string
	Close() error
	Report() string // of a live source; "" if there is nothing to tell
	Lost() int64    // samples so far for which silence stands
}

// openSource opens a source of audio; of complex samples it receives what is above the dial frequency.
func openSource(path string, o opening) (source, func([]float32) (int, error), error) {
	if o.IQ == "" {
		a, err := audio.Open(path, o.Options)
		if err != nil {
			return nil, nil, err
		}
		return a, a.ReadSamples, nil
	}
	q, err := audio.OpenIQ(path, o.Options)
	if err != nil {
		return nil, nil, err
	}
	offset, err := o.tune.from(q.Dial())
	if err != nil {
		q.Close()
		return nil, nil, err
	}
	r, err := demod.NewTunerReader(q, demod.TunerConfig{DialHz: offset})
	if err != nil {
		q.Close()
		return nil, nil, usageError{fmt.Errorf("--tune of %s: %w", path, err)}
	}
	return tuned{r, q, offset}, r.ReadSamples, nil
}

// tuned is the audio of a part of complex samples.
type tuned struct {
	*demod.TunerReader
	q      *audio.IQSource
	offset float64 // Hz from the middle
}

func (s tuned) Length() int64 {
	if s.q.Length() < 0 {
		return -1
	}
	return int64(float64(s.q.Length()) * s.SampleRate() / s.q.SampleRate())
}
func (s tuned) Time(sample int64) time.Time {
	return s.q.Time(int64(math.Round(float64(sample) * s.q.SampleRate() / s.SampleRate())))
}
func (s tuned) StartFrom() string { return s.q.StartFrom() }
func (s tuned) Dial() float64 {
	if s.q.Dial() == 0 {
		return 0
	}
	return s.q.Dial() + s.offset
}
func (s tuned) DialFrom() string { return s.q.DialFrom() }
func (s tuned) Close() error     { return s.q.Close() }
func (s tuned) Report() string   { return s.q.Report() }
func (s tuned) Lost() int64      { return int64(float64(s.q.Lost()) * s.SampleRate() / s.q.SampleRate()) }

// stream reads a source in the background, because a read may wait for ever and an interruption shall not.
type stream[T float32 | complex64] struct {
	source source
	read   func([]T) (int, error)
	path   string
	notes  io.Writer
	full   chan block[T]
	empty  chan []T
	lost   int64 // samples of the present block that were lost
}

const (
	blockLength = 1 << 14
	blocksAhead = 3
)

// openStream opens a source as audio; it gives up with errInterrupted when ctx ends.
func openStream(ctx context.Context, path string, o opening) (*stream[float32], error) {
	return openAs(ctx, path, o, openSource)
}

// openIQStream opens a source as complex samples.
func openIQStream(ctx context.Context, path string, o opening) (*stream[complex64], error) {
	return openAs(ctx, path, o, func(path string, o opening) (source, func([]complex64) (int, error), error) {
		q, err := audio.OpenIQ(path, o.Options)
		if err != nil {
			return nil, nil, err
		}
		return q, q.ReadIQ, nil
	})
}

// noteWait is how long a live source may keep silent before the user is told what is waited for.
const noteWait = 2 * time.Second

func openAs[T float32 | complex64](ctx context.Context, path string, o opening,
	open func(string, opening) (source, func([]T) (int, error), error)) (*stream[T], error) {
	o, err := o.settled(path)
	if err != nil {
		return nil, err
	}
	s := &stream[T]{path: path, notes: o.notes}
	listening := make(chan string, 1)
	if o.notes != nil {
		o.Listening = func(address string) { listening <- address }
	}
	done := make(chan error, 1)
	go func() {
		var err error
		s.source, s.read, err = open(path, o)
		done <- err
	}()
	waits := time.NewTimer(noteWait)
	defer waits.Stop()
	for waiting := true; waiting; {
		select {
		case <-ctx.Done():
			return nil, errInterrupted
		case s.path = <-listening:
			fmt.Fprintf(o.notes, "ionoscribe: %s: listening at %s\n", fault.OneLine(path), s.path)
		case <-waits.C:
			noteWaiting(o.notes, path)
		case err = <-done:
			waiting = false
		}
	}
	if err != nil {
		return nil, err
	}
	noteSource(o.notes, path, o, s.source)
	s.start(ctx)
	return s, nil
}

// start begins to read.
func (s *stream[T]) start(ctx context.Context) {
	s.full, s.empty = make(chan block[T], blocksAhead), make(chan []T, blocksAhead)
	for range blocksAhead {
		s.empty <- make([]T, blockLength)
	}
	go s.run(ctx)
}

// run reads until the source or ctx ends, and closes the source, which ends a read of a live one that waits.
func (s *stream[T]) run(ctx context.Context) {
	defer context.AfterFunc(ctx, func() { s.source.Close() })()
	defer s.source.Close()
	for {
		var b []T
		select {
		case <-ctx.Done():
			return
		case b = <-s.empty:
		}
		before := s.source.Lost()
		n, err := s.read(b[:cap(b)])
		s.full <- block[T]{b[:n], s.source.Lost() - before, err}
		if err != nil {
			return
		}
	}
}

// each calls f with all samples, a block at a time. It returns nil at the end of the source.
func (s *stream[T]) each(ctx context.Context, f func([]T)) error {
	defer s.report()
	for {
		select {
		case <-ctx.Done():
			return errInterrupted
		case b := <-s.full:
			s.lost = b.lost
			f(b.samples)
			if errors.Is(b.err, io.EOF) {
				return nil
			}
			if b.err != nil {
				return b.err
			}
			s.empty <- b.samples
		}
	}
}

// report tells what a live source has lost.
func (s *stream[T]) report() {
	if r := s.source.Report(); r != "" && s.notes != nil {
		fmt.Fprintf(s.notes, "ionoscribe: %s: %s\n", fault.OneLine(s.path), r)
	}
}

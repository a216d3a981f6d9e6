package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"ionoscribe/demod"
	"ionoscribe/internal/filing"
	"ionoscribe/internal/object"
)

// textDecoder is what is known here of a decoder of text, of audio or of complex samples.
type textDecoder[T float32 | complex64] interface {
	Write(block []T)
	Flush()
}

// textSetup is how a decoder comes to its samples.
type textSetup[T float32 | complex64] struct {
	open func(ctx context.Context, path string, o opening) (*stream[T], error)
	// build makes a decoder for a sample rate in Hz, whose hooks print by the receiver.
	build   func(r *textReceiver, rate float64) (textDecoder[T], error)
	several bool // there may be more than one signal at a time
}

// textReceiver prints what is received from one source after the other.
type textReceiver struct {
	textOptions
	lines *filing.Lines
	log   *filing.Appender // or nil
	name  string           // of the source
	at    source
	rate  demod.Rate
	chars int
}

// receiveText receives text from all sources.
func receiveText[T float32 | complex64](ctx context.Context, sources []string, so sourceOptions, o textOptions, in io.Reader, out io.Writer,
	setup textSetup[T]) error {
	if err := so.checkSources(sources); err != nil {
		return err
	}
	own, err := so.openAll(sources, in)
	if err != nil {
		return err
	}
	r := &textReceiver{textOptions: o, lines: &filing.Lines{Out: out, Quiet: o.json, Doubt: o.doubt, Several: setup.several}}
	if o.log != "" {
		if err := notOnto(o.log, pathsOf(own)...); err != nil {
			return err
		}
		var err error
		if r.log, err = filing.OpenAppender(o.log, newTrouble(so.notes, nil)); err != nil {
			return err
		}
		r.lines.Log = r.log
	}
	var errs []error
	for i, source := range sources {
		err := receiveFrom(ctx, r, source, own[i].path, own[i].opening, setup)
		errs = append(errs, err)
		if errors.Is(err, errInterrupted) || r.unheard() {
			break
		}
	}
	if r.lines.Err != nil {
		errs = append(errs, outputError(r.lines.Err))
	}
	if r.log != nil {
		errs = append(errs, r.log.Close())
	}
	if err := errors.Join(errs...); err != nil || r.chars > 0 {
		return err
	}
	return fmt.Errorf("%w from %s; check the receiver's tuning and the level of the audio", errNoText, strings.Join(sources, ", "))
}

// receiveFrom decodes a source; what was received before an error or an interruption is printed.
func receiveFrom[T float32 | complex64](ctx context.Context, r *textReceiver, source, path string, a opening, setup textSetup[T]) error {
	s, err := setup.open(ctx, path, a)
	if err != nil {
		return err
	}
	r.name, r.at, r.rate = source, s.source, demod.Rate(s.source.SampleRate())
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	d, err := setup.build(r, s.source.SampleRate())
	if err != nil {
		return err
	}
	err = s.each(ctx, func(block []T) {
		d.Write(block)
		if r.log != nil {
			r.log.Save() // what it did not take before
		}
		if r.unheard() {
			stop(r.lines.Err)
		}
	})
	d.Flush()
	r.lines.EndAll()
	if r.unheard() {
		return nil // reported once, by the caller
	}
	return err
}

// unheard says that no one gets the text any more: standard output is gone, and there is no log.
func (r *textReceiver) unheard() bool { return r.lines.Err != nil && r.log == nil }

func (r *textReceiver) time(at int64) time.Time { return r.at.Time(at) }

// textEvent is what JSON objects of all modes begin with.
type textEvent struct {
	Source  string  `json:"source"`
	Event   string  `json:"event"` // char, or signal and lost for changes of what is received
	UTC     string  `json:"utc"`
	Seconds float64 `json:"seconds"` // from the first sample of the source

	TimeFrom string `json:"time_from,omitempty"` // of signal: how the time of the recording is known
	Signal   int    `json:"signal,omitempty"`    // from 1, of several at a time
}

func rounded(v, by float64) float64 { return math.Round(v*by) / by }

// print prints a JSON object of parts.
func (r *textReceiver) print(parts ...any) {
	b, err := object.Join(parts...)
	if err != nil { // cannot be: all numbers are finite
		r.lines.Err = err
		return
	}
	r.lines.Print(string(b) + "\n")
}

package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/pflag"

	"ionoscribe/internal/audio"
	"ionoscribe/internal/filing"
)

// passbandOptions say what to listen to as a whole, and where on the air that is.
type passbandOptions struct {
	sourceOptions
	sideband string
}

func (o *passbandOptions) addFlags(f *pflag.FlagSet) {
	under(whereFrom, f, func(f *pflag.FlagSet) {
		f.StringVar(&o.sideband, "sideband", "upper", "`SIDE` that the receiver hears: upper or lower")
		choices(f, "sideband", "upper", "lower")
		o.sourceOptions.addFlags(f)
		f.Lookup("dial").Usage = "`HZ` that the receiver is tuned to, the carrier's frequency, or with --iq its centre; frequencies are then those on the air (default: what the recording or its name tells)"
	})
}

func (o passbandOptions) check() error {
	switch {
	case o.sideband != "upper" && o.sideband != "lower":
		return usageError{fmt.Errorf("--sideband %q is neither upper nor lower", o.sideband)}
	case !(o.dial >= 0 && o.dial <= 1e12):
		return usageError{fmt.Errorf("--dial %g is not within 0 and 1e12", o.dial)}
	}
	return nil
}

// opening opens the whole band, wherever it is on the air.
func (o passbandOptions) opening(in io.Reader) (opening, error) {
	src := o.sourceOptions
	src.dial = 0
	a, err := src.opening(in)
	a.ownDial = o.dial == 0
	return a, err
}

// filed is what is told of a source: its own frequency is the dial's, if none was ordered.
func (o passbandOptions) filed(s source, path string) *filing.Source {
	f := &filing.Source{Path: path, Rate: s.SampleRate(), Time: s.Time, TimeFrom: s.StartFrom, Lower: o.sideband == "lower",
		Again: filing.RecordingPath(path) != ""}
	switch {
	case o.dial != 0:
		f.DialHz, f.DialFrom = o.dial, audio.FromOrder
	case s.Dial() != 0:
		f.DialHz, f.DialFrom = s.Dial(), s.DialFrom()
	}
	return f
}

// passband is a source of which the whole band is listened to: audio or, with --iq, complex samples.
type passband struct {
	source
	audio *stream[float32] // or
	iq    *stream[complex64]
}

func openPassband(ctx context.Context, path string, o opening) (*passband, error) {
	o, err := o.settled(path)
	if err != nil {
		return nil, err
	}
	if o.IQ != "" {
		s, err := openIQStream(ctx, path, o)
		if err != nil {
			return nil, err
		}
		if rate := s.source.SampleRate(); rate > audio.MaxRate {
			s.source.Close()
			return nil, &audio.Error{Op: "open", Path: path, Err: fmt.Errorf("is %g Hz wide, and at most %d are searched at a time", rate, audio.MaxRate),
				Mend: "resample it, or receive one frequency of it with fax, rtty or cw and --dial"}
		}
		return &passband{source: s.source, iq: s}, nil
	}
	s, err := openStream(ctx, path, o)
	if err != nil {
		return nil, err
	}
	return &passband{source: s.source, audio: s}, nil
}

// bandListener listens to a band; of complex samples it was told.
type bandListener interface {
	Write(block []float32)
	WriteIQ(block []complex64)
}

// each has l listen to all samples, and calls after behind each block, of which some samples may be silence in the place of
// what was lost. It returns nil at the end of the source.
func (p *passband) each(ctx context.Context, l bandListener, after func(samples int, lost int64)) error {
	if p.iq != nil {
		return p.iq.each(ctx, func(block []complex64) {
			l.WriteIQ(block)
			after(len(block), p.iq.lost)
		})
	}
	return p.audio.each(ctx, func(block []float32) {
		l.Write(block)
		after(len(block), p.audio.lost)
	})
}

package main

import (
	"context"
	"fmt"
	"io"

	"ionoscribe/audio"
	"ionoscribe/internal/filing"
)

// ownPassband is a source with settings of its own, ready to be opened.
type ownPassband struct {
	passbandOptions
	path    string
	opening opening
}

func (o passbandOptions) open(source string, in io.Reader) (own ownPassband, err error) {
	if own.path, own.passbandOptions, err = o.at(source); err == nil {
		own.opening, err = own.passbandOptions.opening(in)
	}
	return own, err
}

// filed is what is told of a source of some name, which is read from a path.
func (o passbandOptions) filed(s source, name, path string) *filing.Source {
	return &filing.Source{Name: name, Path: path, Rate: s.SampleRate(), Time: s.Time, TimeFrom: s.StartFrom,
		DialHz: s.Dial(), DialFrom: s.DialFrom(), Lower: o.sideband == "lower"}
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
				Mend: "resample it, or receive one frequency of it with " + inWords(names(modesThat(anyMode)), "or") + " and --tune"}
		}
		return &passband{source: s.source, iq: s}, nil
	}
	s, err := openStream(ctx, path, o)
	if err != nil {
		return nil, err
	}
	return &passband{source: s.source, audio: s}, nil
}

// bandListener listens to a band; it is configured for I/Q beforehand if it gets complex samples.
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

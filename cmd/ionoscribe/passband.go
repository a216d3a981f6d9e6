package main

import (
	"context"
)

// passband is a source of which the whole band is listened to: audio or, with --iq, complex samples.
type passband struct {
	source
	audio *stream[float32] // or
	iq    *stream[complex64]
}

func openPassband(ctx context.Context, path string, o opening) (*passband, error) {
	if o.IQ != "" {
		s, err := openIQStream(ctx, path, o)
		if err != nil {
			return nil, err
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

// each has l listen to all samples, and calls after behind each block. It returns nil at the end of the source.
func (p *passband) each(ctx context.Context, l bandListener, after func(samples int)) error {
	if p.iq != nil {
		return p.iq.each(ctx, func(block []complex64) {
			l.WriteIQ(block)
			after(len(block))
		})
	}
	return p.audio.each(ctx, func(block []float32) {
		l.Write(block)
		after(len(block))
	})
}

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/pflag"

	"ionoscribe/internal/audio"
)

// sourceOptions say how to read the sources.
type sourceOptions struct {
	rate     float64
	encoding string
	channels int
	channel  string
	start    string
}

func (o *sourceOptions) addFlags(f *pflag.FlagSet) {
	f.Float64Var(&o.rate, "rate", 0, "`Hz`: sample rate of raw samples")
	f.StringVar(&o.encoding, "encoding", "", "`FORM` of raw samples: u8, s16le, s24le, s32le, f32le or f64le")
	f.IntVar(&o.channels, "channels", 1, "`NUMBER` of channels of raw samples, interleaved")
	f.StringVar(&o.channel, "channel", "left", "`CHANNEL` to read: left, right, mix or its number from 1")
	f.StringVar(&o.start, "start", "", "`TIME` (UTC) of the first sample, such as 2026-03-04T12:00:00Z (default: found out)")
}

// timeForms are tried in turn; without a zone they are UTC.
var timeForms = []string{time.RFC3339, "2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02 15:04"}

func (o sourceOptions) audio(in io.Reader) (audio.Options, error) {
	a := audio.Options{Rate: o.rate, Encoding: audio.Encoding(o.encoding), Channels: o.channels, Channel: o.channel, Stdin: in}
	if o.start == "" {
		return a, nil
	}
	for _, form := range timeForms {
		if t, err := time.Parse(form, o.start); err == nil {
			a.Start = t.UTC()
			return a, nil
		}
	}
	return a, usageError{fmt.Errorf("--start %q is not a time such as 2026-03-04T12:00:00Z", o.start)}
}

// block is some samples and what came after them.
type block struct {
	samples []float32
	err     error
}

// stream reads a source in the background, because a read may wait for ever and an interruption shall not.
type stream struct {
	source *audio.Source
	full   chan block
	empty  chan []float32
}

const (
	blockLength = 1 << 14
	blocksAhead = 3
)

// openStream opens a source; it gives up with errInterrupted when ctx ends.
func openStream(ctx context.Context, path string, o audio.Options) (*stream, error) {
	type opened struct {
		source *audio.Source
		err    error
	}
	done := make(chan opened, 1)
	go func() {
		s, err := audio.Open(path, o)
		done <- opened{s, err}
	}()
	select {
	case <-ctx.Done():
		return nil, errInterrupted
	case r := <-done:
		if r.err != nil {
			return nil, r.err
		}
		s := &stream{r.source, make(chan block, blocksAhead), make(chan []float32, blocksAhead)}
		for range blocksAhead {
			s.empty <- make([]float32, blockLength)
		}
		go s.read(ctx)
		return s, nil
	}
}

// read runs until the source or ctx ends, and closes the source.
func (s *stream) read(ctx context.Context) {
	defer s.source.Close()
	for {
		var b []float32
		select {
		case <-ctx.Done():
			return
		case b = <-s.empty:
		}
		n, err := s.source.ReadSamples(b[:cap(b)])
		s.full <- block{b[:n], err}
		if err != nil {
			return
		}
	}
}

// each calls f with all samples, a block at a time. It returns nil at the end of the source.
func (s *stream) each(ctx context.Context, f func([]float32)) error {
	for {
		select {
		case <-ctx.Done():
			return errInterrupted
		case b := <-s.full:
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

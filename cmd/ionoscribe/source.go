package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"ionoscribe/audio"
	"ionoscribe/demod"
	"ionoscribe/internal/fault"
)

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
			switch {
			case b.err != nil && ctx.Err() != nil: // the source was closed, see run
				return errInterrupted
			case errors.Is(b.err, io.EOF):
				return nil
			case b.err != nil:
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

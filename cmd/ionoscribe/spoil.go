package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"

	"ionoscribe/audio"
	"ionoscribe/samples"
)

// spoilOptions say what to do to a recording.
type spoilOptions struct {
	from   string
	target targetOptions
	path   pathOptions
}

// runSpoil reads a recording twice: to measure its power, and to spoil it.
func runSpoil(ctx context.Context, o spoilOptions, out io.Writer) error {
	if o.from == "-" {
		return usageError{errors.New("--from -: a recording is read twice, so it must be a file")}
	}
	path, err := o.path.path()
	if err != nil {
		return err
	}
	power, err := meanPower(ctx, o.from)
	if err != nil {
		return err
	}
	source, err := audio.Open(o.from, audio.Options{})
	if err != nil {
		return err
	}
	defer source.Close()
	// The recording counts as a signal of the same power with a constant envelope.
	gain := min(1, headroom(&path, source.SampleRate())/math.Sqrt(2*power))
	scaled := samples.NewScale(source, gain)
	src, err := path.Through(scaled, power*gain*gain)
	if err != nil {
		return usageError{err}
	}
	o.target.read = []string{o.from}
	return o.target.write(ctx, src, strings.TrimSuffix(o.from, filepath.Ext(o.from))+"-spoilt.wav", out)
}

// meanPower is that of a whole recording.
func meanPower(ctx context.Context, name string) (float64, error) {
	source, err := audio.Open(name, audio.Options{})
	if err != nil {
		return 0, err
	}
	defer source.Close()
	sum, count := 0.0, 0
	buf := make([]float32, blockLength)
	for err == nil && ctx.Err() == nil {
		var n int
		n, err = source.ReadSamples(buf)
		for _, v := range buf[:n] {
			sum += float64(v) * float64(v)
		}
		count += n
	}
	switch {
	case ctx.Err() != nil:
		return 0, errInterrupted
	case !errors.Is(err, io.EOF):
		return 0, err
	case !(sum > 0) || math.IsInf(sum, 0):
		return 0, fmt.Errorf("%s: holds no sound that a level could refer to", name)
	}
	return sum / float64(count), nil
}

package samples

import (
	"errors"
	"fmt"
	"io"
	"math"

	"ionoscribe/demod"
)

// Skip leaves out the beginning of a signal, as a receiver does that is switched on late.
type Skip struct {
	src  demod.SampleReader
	left int64
}

// NewSkip leaves out the first seconds of src, to the nearest sample.
func NewSkip(src demod.SampleReader, seconds float64) *Skip {
	return &Skip{src, count(src.SampleRate(), seconds)}
}

// SampleRate is in Hz.
func (s *Skip) SampleRate() float64 { return s.src.SampleRate() }

// ReadSamples implements demod.SampleReader.
func (s *Skip) ReadSamples(dst []float32) (int, error) {
	for s.left > 0 && len(dst) > 0 {
		n, err := readSome(s.src, dst[:min(s.left, int64(len(dst)))])
		s.left -= int64(n)
		if err != nil {
			return 0, err
		}
	}
	return s.src.ReadSamples(dst)
}

// Limit ends a signal early.
type Limit struct {
	src  demod.SampleReader
	left int64
}

// NewLimit passes the first seconds of src, to the nearest sample.
func NewLimit(src demod.SampleReader, seconds float64) *Limit {
	return &Limit{src, count(src.SampleRate(), seconds)}
}

// SampleRate is in Hz.
func (l *Limit) SampleRate() float64 { return l.src.SampleRate() }

// ReadSamples implements demod.SampleReader.
func (l *Limit) ReadSamples(dst []float32) (int, error) {
	if l.left <= 0 {
		return 0, io.EOF
	}
	n, err := l.src.ReadSamples(dst[:min(l.left, int64(len(dst)))])
	l.left -= int64(n)
	return n, err
}

// Scale is a signal made louder or softer.
type Scale struct {
	src  demod.SampleReader
	gain float32
}

// NewScale multiplies src by gain.
func NewScale(src demod.SampleReader, gain float64) *Scale { return &Scale{src, float32(gain)} }

// SampleRate is in Hz.
func (s *Scale) SampleRate() float64 { return s.src.SampleRate() }

// ReadSamples implements demod.SampleReader.
func (s *Scale) ReadSamples(dst []float32) (int, error) {
	n, err := s.src.ReadSamples(dst)
	for i := range dst[:n] {
		dst[i] *= s.gain
	}
	return n, err
}

// count is the number of samples nearest to a time; none for a negative time or one that is no number.
func count(rate, seconds float64) int64 {
	n := math.Round(rate * seconds)
	if !(n > 0) {
		return 0
	}
	return int64(min(n, 1<<62))
}

type silence struct{ rate float64 }

func (s silence) SampleRate() float64 { return s.rate }

func (s silence) ReadSamples(dst []float32) (int, error) {
	clear(dst)
	return len(dst), nil
}

// Silence is a signal of zeros: rate in Hz, length in seconds.
func Silence(rate, seconds float64) demod.SampleReader { return NewLimit(silence{rate}, seconds) }

type concat struct {
	rate    float64
	readers []demod.SampleReader
}

// Concat plays signals one after the other. They must have the same sample rate.
func Concat(readers ...demod.SampleReader) (demod.SampleReader, error) {
	if len(readers) == 0 {
		return nil, errors.New("joining signals: there is none")
	}
	for _, r := range readers {
		if r.SampleRate() != readers[0].SampleRate() {
			return nil, fmt.Errorf("joining signals: sample rates of %v and %v Hz differ", readers[0].SampleRate(), r.SampleRate())
		}
	}
	return &concat{readers[0].SampleRate(), readers}, nil
}

func (c *concat) SampleRate() float64 { return c.rate }

func (c *concat) ReadSamples(dst []float32) (int, error) {
	for len(c.readers) > 0 {
		n, err := c.readers[0].ReadSamples(dst)
		if errors.Is(err, io.EOF) {
			c.readers = c.readers[1:]
			err = nil
		} else if n == 0 && err == nil {
			return 0, nil
		}
		if n > 0 || err != nil {
			return n, err
		}
	}
	return 0, io.EOF
}

// ReadAll reads a signal to its end, which must come; what was read before an error is returned with it.
func ReadAll(src demod.SampleReader) ([]float32, error) {
	all := make([]float32, 0, 1<<14)
	for {
		if len(all) == cap(all) {
			all = append(all, 0)[:len(all)]
		}
		n, err := readSome(src, all[len(all):cap(all)])
		all = all[:len(all)+n]
		if errors.Is(err, io.EOF) {
			return all, nil
		}
		if err != nil {
			return all, err
		}
	}
}

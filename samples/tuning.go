package samples

import (
	"errors"
	"fmt"
	"math"

	"ionoscribe/demod"
)

// Tuning moves a signal in frequency, as a receiver does that is off tune or whose oscillator drifts.
type Tuning struct {
	src    demod.SampleReader
	in     *analytic
	hz     float64 // at the beginning
	drift  float64 // Hz per second
	re, im []float32
	n      int64
}

// NewTuning moves src up by hz and, from its beginning on, by driftHzPerSecond more each second. What is moved
// below 0 Hz comes back mirrored, as in a receiver without a sideband filter.
func NewTuning(src demod.SampleReader, hz, driftHzPerSecond float64) (*Tuning, error) {
	if src == nil {
		return nil, errors.New("tuning: no signal")
	}
	if half := src.SampleRate() / 2; !(math.Abs(hz) <= half) || !(math.Abs(driftHzPerSecond) <= half) {
		return nil, fmt.Errorf("tuning: %v Hz and %v Hz/s are not within half the sample rate of %v Hz", hz, driftHzPerSecond, src.SampleRate())
	}
	return &Tuning{src: src, in: newAnalytic(src), hz: hz, drift: driftHzPerSecond,
		re: make([]float32, analyticBlock), im: make([]float32, analyticBlock)}, nil
}

// SampleRate is in Hz.
func (t *Tuning) SampleRate() float64 { return t.src.SampleRate() }

// ReadSamples implements demod.SampleReader.
func (t *Tuning) ReadSamples(dst []float32) (int, error) {
	n, err := t.in.read(t.re[:min(len(dst), len(t.re))], t.im[:min(len(dst), len(t.im))])
	for i := range n {
		s := float64(t.n) / t.src.SampleRate()
		cycles := s * (t.hz + t.drift*s/2)
		sin, cos := math.Sincos(2 * math.Pi * (cycles - math.Floor(cycles)))
		dst[i] = t.re[i]*float32(cos) - t.im[i]*float32(sin)
		t.n++
	}
	return n, err
}

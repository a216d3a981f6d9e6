package samples

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"ionoscribe/demod"
)

// FadingConfig describes a Watterson channel: two paths that fade independently of each other, with equal mean power
// (Watterson, Juroshek and Bensema, "Experimental confirmation of an HF channel model", IEEE Trans. COM-18, 1970;
// ITU-R F.1487, annex 1). The zero value has two paths of no delay and no fading.
type FadingConfig struct {
	DelaySeconds float64    // of the second path behind the first, up to 0.1 s
	SpreadHz     float64    // Doppler spread of each path: two standard deviations of its spectrum; 0: steady
	ShiftHz      [2]float64 // Doppler shift of each path
	Seed         uint64
}

// Fading is a signal that came through the ionosphere. Its mean power is that of the source. The first path has no
// delay; the signal ends where that of the source does.
type Fading struct {
	src    demod.SampleReader
	in     *analytic
	gains  [2]*gain
	n      int64
	late   int                 // whole samples of delay
	frac   *[clockTaps]float32 // interpolates the part of a sample more; nil: there is none
	re, im []float32           // analytic signal: what the second path needs of the past, then ahead, then a block
	past   int
	ahead  int // samples in hand, for the interpolation
}

const maxDelaySeconds = 0.1

// NewFading sends src through a Watterson channel.
func NewFading(src demod.SampleReader, c FadingConfig) (*Fading, error) {
	switch {
	case src == nil:
		return nil, errors.New("fading: no signal")
	case !(c.DelaySeconds >= 0 && c.DelaySeconds <= maxDelaySeconds):
		return nil, fmt.Errorf("fading: a delay of %v s is not within 0 and %v s", c.DelaySeconds, maxDelaySeconds)
	case !(c.SpreadHz >= 0 && c.SpreadHz <= src.SampleRate()/gainOversampling):
		return nil, fmt.Errorf("fading: a spread of %v Hz is not within 0 and %.0f Hz", c.SpreadHz, src.SampleRate()/gainOversampling)
	}
	f := &Fading{src: src, in: newAnalytic(src)}
	for i := range f.gains {
		if !(math.Abs(c.ShiftHz[i]) <= src.SampleRate()/2) {
			return nil, fmt.Errorf("fading: a shift of %v Hz is more than half the sample rate", c.ShiftHz[i])
		}
		// Each path has a stream of its own.
		rng := rand.New(rand.NewPCG(c.Seed, 0x66616465+uint64(i)))
		f.gains[i] = newGain(src.SampleRate(), c.SpreadHz, c.ShiftHz[i], 0.5, rng)
	}
	delay := c.DelaySeconds * src.SampleRate()
	f.late = int(math.Ceil(delay - 0.5/clockPhases))
	if part := int(math.Round((float64(f.late) - delay) * clockPhases)); part > 0 {
		f.frac = &clockTable[part]
	}
	f.past = f.late + clockTaps
	f.re, f.im = make([]float32, f.past+clockTaps+analyticBlock), make([]float32, f.past+clockTaps+analyticBlock)
	return f, nil
}

// SampleRate is in Hz.
func (f *Fading) SampleRate() float64 { return f.src.SampleRate() }

// ReadSamples implements demod.SampleReader.
func (f *Fading) ReadSamples(dst []float32) (int, error) {
	if len(dst) == 0 {
		return 0, nil
	}
	for f.n == 0 && f.ahead < clockTaps/2 {
		n, err := f.in.read(f.re[f.past+f.ahead:][:clockTaps/2-f.ahead], f.im[f.past+f.ahead:][:clockTaps/2-f.ahead])
		f.ahead += n
		if err != nil {
			break
		}
	}
	n := min(len(dst), analyticBlock)
	re, im := f.re[f.past+f.ahead:][:n], f.im[f.past+f.ahead:][:n]
	n, err := f.in.read(re, im)
	if n == 0 && err != nil { // what is in hand is left
		n = min(len(re), f.ahead)
		if n == 0 {
			return 0, err
		}
		f.ahead -= n
	}
	for i := range n {
		k := f.past + i
		re, im := f.delayed(k)
		a, b := f.gains[0].value(f.n), f.gains[1].value(f.n)
		dst[i] = float32(real(a))*f.re[k] - float32(imag(a))*f.im[k] + float32(real(b))*re - float32(imag(b))*im
		f.n++
	}
	keep := f.past + f.ahead
	clear(f.re[copy(f.re, f.re[n:][:keep]):])
	clear(f.im[copy(f.im, f.im[n:][:keep]):])
	return n, nil
}

// delayed is the analytic signal at place k of the buffer, delayed.
func (f *Fading) delayed(k int) (re, im float32) {
	if f.frac == nil {
		return f.re[k-f.late], f.im[k-f.late]
	}
	from := k - f.late - (clockTaps/2 - 1)
	x, y := f.re[from:][:clockTaps], f.im[from:][:clockTaps]
	for i, c := range f.frac {
		re += c * x[i]
		im += c * y[i]
	}
	return re, im
}

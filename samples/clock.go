package samples

import (
	"errors"
	"fmt"
	"io"
	"math"

	"ionoscribe/demod"
)

// ClockError hears a signal with a sample clock that is wrong: it resamples by a factor near one.
//
// Interpolation is by a sinc cut to 32 samples with a Kaiser window: a tone below 0.4 of the sample rate comes
// out with an error of less than -60 dB (-75 dB by design; the tests measure it). Above, the error grows.
type ClockError struct {
	src demod.SampleReader
	m   int64 // next output sample

	// From output sample from on, which lies at input sample base, there are ratio input samples to one; until the
	// next step of a clock that drifts.
	base        float64
	ratio       float64
	from, until int64
	drift       *ClockConfig // nil: steady

	buf   []float32 // input samples from index first on
	first int64
	end   int64 // number of input samples, once known; else -1
	err   error // that ended the input
}

const (
	clockTaps   = 32
	clockPhases = 512
	// Kaiser: beta = 0.1102 for A = 80 dB; 80 dB over a transition from 0.4 to 0.6 of the rate takes
	// (80-8)/(2.285·2π·0.2) = 25 taps (Kaiser, 1974), so 32 have some in hand.
	clockBeta  = 7.857
	clockBlock = 4096 // input samples kept
)

// clockTable[p][k] weighs the k-th of 32 samples around a point p/512 of a sample after the 16th of them.
var clockTable = func() (t [clockPhases + 1][clockTaps]float32) {
	for p := range t {
		for k := range t[p] {
			x := float64(k-clockTaps/2+1) - float64(p)/clockPhases
			s := 1.0
			if x != 0 {
				s = math.Sin(math.Pi*x) / (math.Pi * x)
			}
			r := x / (clockTaps / 2)
			t[p][k] = float32(s * bessel0(clockBeta*math.Sqrt(max(0, 1-r*r))) / bessel0(clockBeta))
		}
	}
	return
}()

// bessel0 is the modified Bessel function I0 by its power series, Σ ((x/2)^k/k!)².
func bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-17*sum; k++ {
		term *= x / (2 * k) * x / (2 * k)
		sum += term
	}
	return sum
}

// NewClockError returns src as sampled by a clock that runs ppm parts in a million fast (slow if negative):
// a fast clock counts more samples to a second, so everything seems to last longer and to be lower in pitch.
// The nominal sample rate remains that of src. ppm must lie within ±100 000.
func NewClockError(src demod.SampleReader, ppm float64) (*ClockError, error) {
	if src == nil {
		return nil, errors.New("clock error: no signal")
	}
	if !(math.Abs(ppm) <= 1e5) {
		return nil, fmt.Errorf("clock error: %v ppm is not within ±100000", ppm)
	}
	c := &ClockError{src: src, ratio: 1 / (1 + ppm*1e-6), until: math.MaxInt64, end: -1, buf: make([]float32, 0, clockBlock)}
	c.first = -clockTaps // silence before the first sample
	c.buf = c.buf[:clockTaps]
	return c, nil
}

// SampleRate is the nominal rate in Hz, which is not the true one.
func (c *ClockError) SampleRate() float64 { return c.src.SampleRate() }

// ReadSamples implements demod.SampleReader. The signal ends where that of the source does.
func (c *ClockError) ReadSamples(dst []float32) (int, error) {
	for i := range dst {
		if c.m == c.until {
			c.turn()
		}
		at := c.base + float64(c.m-c.from)*c.ratio // from the index, so that the error does not build up
		whole := math.Floor(at)
		from := int64(whole) - (clockTaps/2 - 1)
		for c.end < 0 && from+clockTaps > c.first+int64(len(c.buf)) {
			c.fill(from)
		}
		if c.end >= 0 && int64(whole) >= c.end {
			if i == 0 {
				return 0, c.err
			}
			return i, nil
		}
		frac := (at - whole) * clockPhases
		p := int(frac)
		w := float32(frac - float64(p))
		a, b, x := &clockTable[p], &clockTable[p+1], c.buf[from-c.first:][:clockTaps]
		var sa, sb float32
		for k, v := range x {
			sa += a[k] * v
			sb += b[k] * v
		}
		dst[i] = sa + w*(sb-sa)
		c.m++
	}
	return len(dst), nil
}

// fill drops what lies before index from and reads more; silence follows the last sample.
func (c *ClockError) fill(from int64) {
	if drop := from - c.first; drop > 0 && len(c.buf) > clockBlock/2 {
		c.buf = c.buf[:copy(c.buf, c.buf[drop:])]
		c.first = from
	}
	have := len(c.buf)
	n, err := readSome(c.src, c.buf[have:min(cap(c.buf)-clockTaps, have+clockBlock/2)])
	c.buf = c.buf[:have+n]
	if err != nil {
		c.err = err
		c.end = c.first + int64(len(c.buf))
		clear(c.buf[len(c.buf) : len(c.buf)+clockTaps])
		c.buf = c.buf[:len(c.buf)+clockTaps]
	}
}

// readSome reads until there is a sample or an error; a source that gives neither a hundred times is broken.
func readSome(src demod.SampleReader, dst []float32) (int, error) {
	for range 100 {
		if n, err := src.ReadSamples(dst); n > 0 || err != nil {
			return n, err
		}
	}
	return 0, io.ErrNoProgress
}

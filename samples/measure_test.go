package samples

import (
	"image"
	"math"
	"math/cmplx"
	"testing"

	"github.com/mjibson/go-dsp/fft"
	"ionoscribe/demod"
)

// The measurements below know nothing of how the signals are made: zero crossings, and the analytic signal by
// the Fourier transform of go-dsp.

func mustFax(t testing.TB, c FaxConfig) *Fax {
	t.Helper()
	f, err := NewFax(c)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func mustRead(t testing.TB, src demod.SampleReader) []float32 {
	t.Helper()
	x, err := ReadAll(src)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// plain is a picture of one grey.
func plain(w, h int, grey uint8) *image.Gray {
	m := image.NewGray(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		m.Pix[i] = grey
	}
	return m
}

// crossingHz is the mean frequency from the first to the last upward zero crossing.
func crossingHz(x []float32, rate float64) float64 {
	first, last, n := 0.0, 0.0, -1
	for i := 1; i < len(x); i++ {
		if a, b := float64(x[i-1]), float64(x[i]); a < 0 && b >= 0 {
			last = float64(i-1) + a/(a-b)
			if n++; n == 0 {
				first = last
			}
		}
	}
	return float64(n) * rate / (last - first)
}

// momentaryHz is the frequency from each sample to the next, by the analytic signal.
func momentaryHz(x []float32, rate float64) []float64 {
	n := 1
	for n < len(x) {
		n *= 2
	}
	in := make([]float64, n)
	for i, v := range x {
		in[i] = float64(v)
	}
	s := fft.FFTReal(in)
	for i := 1; i < n/2; i++ {
		s[i] *= 2
	}
	clear(s[n/2+1:])
	z := fft.IFFT(s)[:len(x)]
	hz := make([]float64, len(x)-1)
	for i := range hz {
		hz[i] = cmplx.Phase(z[i+1]*cmplx.Conj(z[i])) * rate / (2 * math.Pi)
	}
	return hz
}

// pulses finds where hz is above the threshold: start and end of each stretch in samples, interpolated.
func pulses(hz []float64, threshold float64) (p [][2]float64) {
	var up float64
	open := false
	for i := 1; i < len(hz); i++ {
		a, b := hz[i-1]-threshold, hz[i]-threshold
		if (a < 0) == (b < 0) {
			continue
		}
		at := float64(i-1) + a/(a-b) + 0.5 // hz[i] lies midway between samples i and i+1
		if a < 0 {
			up, open = at, true
		} else if open {
			p = append(p, [2]float64{up, at})
		}
	}
	return p
}

// strongestHz is the strongest line in the spectrum of v apart from its mean.
func strongestHz(v []float64, rate float64) float64 {
	mean := 0.0
	for _, a := range v {
		mean += a / float64(len(v))
	}
	in := make([]float64, len(v))
	for i, a := range v {
		in[i] = (a - mean) * (1 - math.Cos(2*math.Pi*float64(i)/float64(len(v))))
	}
	s := fft.FFTReal(in)
	best := 1
	for i := range s[:len(s)/2] {
		if cmplx.Abs(s[i]) > cmplx.Abs(s[best]) {
			best = i
		}
	}
	return float64(best) * rate / float64(len(v))
}

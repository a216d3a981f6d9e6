package audio

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Whether two channels are I and Q shows in how they are related. Let the band be z = I + jQ with independent powers
// P(f) above the middle and P(-f) below it. Then I and Q have the same power, (P(f) + P(-f))/4, and their cross-spectrum
// is imaginary, ±j(P(f) - P(-f))/4: wherever the two sides differ I and Q are coherent with a quarter turn between them.
// Two channels of audio are coherent without a turn, or with one that grows with frequency if one is late, or, as two
// receivers, not coherent at all.
const (
	hintLength   = 1024    // samples of a spectrum
	hintSamples  = 1 << 19 // looked at, at most
	hintSpectra  = 32      // at least: chance makes the coherence of so many 1/32
	hintCoherent = 0.5     // coherence from which on a place counts
	hintRatioDB  = 3       // between the powers, and
	hintDegrees  = 20      // from a quarter turn, which no receiver is off by
	hintBins     = 3       // at least: of a carrier alone there are as many
	hintShare    = 0.9     // of places that must be so
)

// LooksIQ tells whether the two channels of a recording look like I and Q. Of what cannot be read it tells nothing.
func LooksIQ(path string, o Options) bool {
	o.IQ, o.Channel = IQNormal, ""
	s, err := openAny(path, o)
	if err != nil {
		return false
	}
	defer s.Close()
	var x relation
	pairs, have := make([]float32, 2*hintLength), 0
	for n := 0; n < hintSamples; {
		got, err := s.readAny(pairs[have:])
		n += got / 2
		if have += got; have == len(pairs) {
			x.add(pairs)
			have = 0
		}
		if err != nil {
			break
		}
	}
	return x.quarter()
}

// relation is the spectra of two channels.
type relation struct {
	fft    *fourier.FFT
	window [hintLength]float64
	i, q   [hintLength / 2]float64
	iq     [hintLength / 2]complex128
	count  int
}

func (r *relation) add(pairs []float32) {
	if r.fft == nil {
		r.fft = fourier.NewFFT(hintLength)
		for n := range r.window { // Hann
			r.window[n] = 0.5 - 0.5*math.Cos(2*math.Pi*float64(n)/hintLength)
		}
	}
	var a, b [hintLength]float64
	for n, w := range r.window {
		a[n], b[n] = w*float64(pairs[2*n]), w*float64(pairs[2*n+1])
	}
	fa, fb := r.fft.Coefficients(nil, a[:]), r.fft.Coefficients(nil, b[:])
	for k := range r.iq {
		r.i[k] += real(fa[k] * cmplx.Conj(fa[k]))
		r.q[k] += real(fb[k] * cmplx.Conj(fb[k]))
		r.iq[k] += fa[k] * cmplx.Conj(fb[k])
	}
	r.count++
}

// quarter tells whether the channels are a quarter turn apart wherever they are coherent.
func (r *relation) quarter() bool {
	if r.count < hintSpectra {
		return false
	}
	coherent, turned := 0, 0
	for k := 3; k < len(r.iq); k++ { // from beyond what the window smears of a constant offset
		size := real(r.iq[k] * cmplx.Conj(r.iq[k]))
		if size == 0 || size < hintCoherent*r.i[k]*r.q[k] {
			continue
		}
		coherent++
		off := math.Abs(math.Abs(cmplx.Phase(r.iq[k])) - math.Pi/2)
		if off < hintDegrees*math.Pi/180 && math.Abs(10*math.Log10(r.i[k]/r.q[k])) < hintRatioDB {
			turned++
		}
	}
	return coherent >= hintBins && float64(turned) >= hintShare*float64(coherent)
}

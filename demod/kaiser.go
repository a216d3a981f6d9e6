package demod

import (
	"fmt"
	"math"
)

// Kaiser's window design: J. F. Kaiser, "Nonrecursive digital filter design using the I0-sinh window
// function", Proc. IEEE Symp. Circuits and Systems, 1974, pp. 20-23; the same formulas are (7.75) and (7.76)
// of Oppenheim and Schafer, Discrete-Time Signal Processing, 3rd ed. (equation numbers from memory).

// KaiserBeta is the shape β of the Kaiser window whose filters ripple by no more than -attenuationDB.
func KaiserBeta(attenuationDB float64) float64 {
	switch a := attenuationDB; {
	case a > 50:
		return 0.1102 * (a - 8.7)
	case a > 21:
		return 0.5842*math.Pow(a-21, 0.4) + 0.07886*(a-21)
	}
	return 0
}

// KaiserOrder is the order (taps - 1, not rounded) of a Kaiser filter with a transition of widthHz at rate Hz.
func KaiserOrder(rate, widthHz, attenuationDB float64) float64 {
	return (max(attenuationDB, 21) - 7.95) / (2.285 * 2 * math.Pi * widthHz / rate)
}

// maxTaps bounds the memory of a filter, or of a whole bank of phases: 2^22 taps.
const maxTaps = 1 << 22

// Lowpass returns a linear-phase low-pass filter of odd length with gain 1 at 0 Hz: within the ripple of
// -attenuationDB up to passHz, attenuated by attenuationDB (21 or more) from stopHz on. The cut-off (-6 dB)
// lies in the middle. Frequencies in Hz. Its delay is (len-1)/2 samples.
//
// It panics unless 0 <= passHz < stopHz <= rate/2 and the filter has at most 2^22 taps.
func Lowpass(rate, passHz, stopHz, attenuationDB float64) []float64 {
	half := math.Ceil(KaiserOrder(rate, stopHz-passHz, attenuationDB) / 2)
	if !(passHz >= 0 && passHz < stopHz && stopHz <= rate/2 && half < maxTaps/2) {
		panic(fmt.Sprintf("demod: no low-pass from %g to %g Hz at %g Hz", passHz, stopHz, rate))
	}
	h := make([]float64, 2*int(half)+1)
	cut, beta := (passHz+stopHz)/2/rate, KaiserBeta(attenuationDB)
	sum := 0.0
	for i := range h {
		h[i] = kaiserSinc(float64(i)-half, cut, half, beta)
		sum += h[i]
	}
	for i := range h {
		h[i] /= sum
	}
	return h
}

// kaiserSinc is the windowed impulse response of the ideal low-pass at t samples from its centre;
// cut in cycles/sample; the window ends at ±half samples.
func kaiserSinc(t, cut, half, beta float64) float64 {
	x := t / half
	if x < -1 || x > 1 {
		return 0
	}
	w := besselI0(beta*math.Sqrt(1-x*x)) / besselI0(beta)
	if t == 0 {
		return 2 * cut * w
	}
	return math.Sin(2*math.Pi*cut*t) / (math.Pi * t) * w
}

// besselI0 is the modified Bessel function of the first kind and order 0, by its power series
// Σ ((x/2)^k / k!)² (Abramowitz and Stegun 9.6.12).
func besselI0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-17*sum; k++ {
		term *= (x / 2 / k) * (x / 2 / k)
		sum += term
	}
	return sum
}

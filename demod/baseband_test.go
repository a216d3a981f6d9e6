package demod

import (
	"math"
	"math/cmplx"
	"testing"
)

var testRates = []float64{6000, 8000, 11025, 12000, 12345.678, 22050, 44100, 48000, 96000, 192000}

// TestBasebandTone holds a tone against the formula of the doc comment: amplitude, phase and time.
func TestBasebandTone(t *testing.T) {
	for _, rate := range testRates {
		for _, f := range []float64{-1390, -400, 0, 7.5, 400, 1000} {
			b, err := NewBaseband(BasebandConfig{SampleRate: rate, OutputRate: 3600, CentreHz: 1900, PassHz: 1400})
			if err != nil {
				t.Fatal(err)
			}
			if 1900+f > rate/2-400 {
				continue // in the transition at half the sample rate
			}
			x := make([]float32, int(rate/4))
			for i := range x {
				x[i] = float32(0.7 * math.Cos(2*math.Pi*(1900+f)*float64(i)/rate+0.3))
			}
			y := b.Flush(b.Append(nil, x))
			if want := int(math.Floor(float64(len(x)-1)*3600/rate*(1+1e-12))) + 1; len(y) != want {
				t.Errorf("%g Hz: %d outputs, want %d", rate, len(y), want)
			}
			worst := 0.0
			for n := 60; n < len(y)-60; n++ {
				want := cmplx.Rect(0.7, 2*math.Pi*f*float64(n)/3600+0.3)
				worst = max(worst, cmplx.Abs(complex128(y[n])-want)/0.7)
			}
			// Passband ripple, mirror image and timing error: each at most -50 dB.
			if worst > 2*math.Pow(10, -50./20) {
				t.Errorf("%g Hz, tone at %+g Hz: error %.1f dB", rate, f, 20*math.Log10(worst))
			}
		}
	}
}

package samples

import (
	"math"
	"testing"

	"github.com/mjibson/go-dsp/spectral"
	"gonum.org/v1/gonum/stat"
)

func TestSpeech(t *testing.T) {
	const rate, seconds, power = 8000.0, 400.0, 0.02
	s, err := NewSpeech(rate, power, 5)
	if err != nil {
		t.Fatal(err)
	}
	x := mustRead(t, NewLimit(s, seconds))
	// Mean power: 1600 syllables, of which three quarters sound, with a lognormal power of standard deviation
	// √(exp((3 ln10/10)²)-1) = 0.78 of its mean; together 1.06 of the mean. Three standard deviations of the mean.
	if p := meanSquare(x); math.Abs(p/power-1) > 0.08 {
		t.Errorf("mean power %.4f, want %v", p, power)
	}

	// ITU-T P.50, long-term spectrum in dB over 1 Hz: the polynomial (from memory) at these frequencies.
	p50 := map[float64]float64{450: 60.16, 1000: 51.41, 1500: 46.02, 2000: 42.23, 2500: 39.44}
	in := make([]float64, len(x))
	for i, v := range x {
		in[i] = float64(v)
	}
	density, hz := spectral.Pwelch(in, rate, &spectral.PwelchOptions{NFFT: 256})
	at := func(f float64) float64 { // dB, over 125 Hz
		sum, n := 0.0, 0.0
		for i, d := range density {
			if math.Abs(hz[i]-f) < 63 {
				sum, n = sum+d, n+1
			}
		}
		return 10 * math.Log10(sum/n)
	}
	for f, want := range p50 {
		got := at(f) - at(1000) + p50[1000]
		t.Logf("%v Hz: %.2f dB, P.50 has %.2f", f, got, want)
		if math.Abs(got-want) > 0.45 {
			t.Errorf("%v Hz: %.2f dB, want %.2f", f, got, want)
		}
	}
	for _, f := range []float64{70, 3500} { // outside the telephone channel
		if got := at(f) - at(450); got > -35 {
			t.Errorf("%v Hz: only %.1f dB down", f, -got)
		}
	}

	// The envelope, 50 values a second. Its spectrum in octaves is the strongest about 4 Hz.
	envelope := make([]float64, len(x)/160)
	for i := range envelope {
		envelope[i] = math.Sqrt(meanSquare(x[i*160:][:160]))
	}
	mean := stat.Mean(envelope, nil)
	for i := range envelope {
		envelope[i] -= mean
	}
	modulation, mhz := spectral.Pwelch(envelope, 50, &spectral.PwelchOptions{NFFT: 256})
	best, bestHz := 0.0, 0.0
	for centre := 0.5; centre <= 16; centre *= 2 {
		sum := 0.0
		for i, d := range modulation {
			if mhz[i] >= centre/math.Sqrt2 && mhz[i] < centre*math.Sqrt2 {
				sum += d
			}
		}
		t.Logf("modulation in the octave of %v Hz: %.3g", centre, sum)
		if sum > best {
			best, bestHz = sum, centre
		}
	}
	if bestHz != 4 {
		t.Errorf("the syllables have their modulation in the octave of %v Hz", bestHz)
	}
	// One syllable in four is a pause, so a silence lasts 0.25/(1-0.25) s in the mean; 20 ms of it are lost because a
	// piece must lie in it as a whole.
	quiet := 0.0
	for _, e := range envelope {
		if e+mean < 1e-3*math.Sqrt(power) {
			quiet++
		}
	}
	if share := quiet / float64(len(envelope)); math.Abs(share-0.25*(1-0.02*0.75/0.25)) > 0.02 {
		t.Errorf("quiet for %.3f of the time", share)
	}
}

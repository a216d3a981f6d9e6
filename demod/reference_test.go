package demod

import (
	"encoding/json"
	"math"
	"math/cmplx"
	"os"
	"testing"
)

// reference is what testdata/make_reference.py had SciPy compute.
type reference struct {
	Baseband []struct {
		Rate             float64
		Method           string
		Samples, Outputs int
		At               []int
		Want             [][2]float64
	}
	Lowpass []struct {
		Rate, Pass, Stop, Att, Beta float64
		Kaiserord                   int
		Taps, Freq, Gain, Filtered  []float64
	}
	Rice []struct{ SNR, M2, M4 float64 }
}

func readReference(t *testing.T) (r reference) {
	data, err := os.ReadFile("testdata/reference.json")
	if err == nil {
		err = json.Unmarshal(data, &r)
	}
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// congruential is the script's noise: the upper 16 bits of s = 1664525 s + 1013904223 mod 2^32.
func congruential(n int) []float32 {
	x, s := make([]float32, n), uint32(1)
	for i := range x {
		s = s*1664525 + 1013904223
		x[i] = float32(int(s>>16)-32768) / 32768
	}
	return x
}

func TestBasebandAgainstSciPy(t *testing.T) {
	for _, ref := range readReference(t).Baseband {
		b := fax(t, ref.Rate)
		y := b.Flush(b.Append(nil, congruential(ref.Samples)))
		if len(y) != ref.Outputs {
			t.Errorf("%g Hz: %d outputs, want %d", ref.Rate, len(y), ref.Outputs)
			continue
		}
		var diff, power float64
		for i, n := range ref.At {
			want := complex(ref.Want[i][0], ref.Want[i][1])
			diff += math.Pow(cmplx.Abs(complex128(y[n])-want), 2)
			power += math.Pow(cmplx.Abs(want), 2)
		}
		// Exact phases leave float32 rounding; for nearest phases see phaseCount.
		limit := -120.0
		if ref.Rate == 12345.678 {
			limit = -60
		}
		got := 10 * math.Log10(diff/power)
		t.Logf("%g Hz: %.1f dB (%s)", ref.Rate, got, ref.Method)
		if got > limit {
			t.Errorf("%g Hz: differs from %s by %.1f dB", ref.Rate, ref.Method, got)
		}
	}
}

func TestLowpassAgainstSciPy(t *testing.T) {
	for _, ref := range readReference(t).Lowpass {
		if b := KaiserBeta(ref.Att); math.Abs(b-ref.Beta) > 1e-12 {
			t.Errorf("β for %g dB = %v, want %v", ref.Att, b, ref.Beta)
		}
		// kaiserord rounds the number of taps, order + 1, up and adds none.
		if n := math.Ceil(KaiserOrder(ref.Rate, ref.Stop-ref.Pass, ref.Att) + 1); int(n) != ref.Kaiserord {
			t.Errorf("%v taps, want %d", n, ref.Kaiserord)
		}
		h := Lowpass(ref.Rate, ref.Pass, ref.Stop, ref.Att)
		if len(h) != len(ref.Taps) {
			t.Fatalf("%d taps, want %d", len(h), len(ref.Taps))
		}
		for i, want := range ref.Taps {
			if math.Abs(h[i]-want) > 1e-11 {
				t.Errorf("tap %d = %v, want %v", i, h[i], want)
			}
		}
		for i, f := range ref.Freq {
			if g := gain(h, f/ref.Rate); math.Abs(g-ref.Gain[i]) > 1e-9 {
				t.Errorf("gain at %g Hz = %v, want %v", f, g, ref.Gain[i])
			}
		}
		x := congruential(400)
		y := make([]float32, len(x))
		NewFIR(h).Filter(y, x)
		for i, want := range ref.Filtered {
			if math.Abs(float64(y[10*i])-want) > 1e-6 {
				t.Errorf("lfilter output %d = %v, want %v", 10*i, y[10*i], want)
			}
		}
	}
}

// gain is |Σ h[k] exp(-2πj·f·k)|, f in cycles/sample.
func gain(h []float64, f float64) float64 {
	var s complex128
	for k, c := range h {
		s += complex(c, 0) * cmplx.Rect(1, -2*math.Pi*f*float64(k))
	}
	return cmplx.Abs(s)
}

// TestMomentSNRRice feeds the exact moments of the Rice distribution, from SciPy.
func TestMomentSNRRice(t *testing.T) {
	for _, ref := range readReference(t).Rice {
		const n = 1000
		s, noise := MomentSNR(n, n*ref.M2, n*ref.M4)
		if math.Abs(s-ref.SNR) > 1e-6*(1+ref.SNR) || math.Abs(noise-1) > 1e-6*(1+ref.SNR) {
			t.Errorf("SNR %g: signal %v, noise %v, want %v, 1", ref.SNR, s, noise, ref.SNR)
		}
	}
}

package narrow

import (
	"math"
	"math/rand/v2"
	"testing"
)

// white makes complex noise of a variance.
func white(rng *rand.Rand, n int, variance float64) []complex64 {
	z := make([]complex64, n)
	a := math.Sqrt(variance / 2)
	for i := range z {
		z[i] = complex(float32(a*rng.NormFloat64()), float32(a*rng.NormFloat64()))
	}
	return z
}

// The noise of a band is its variance (Parseval's theorem), nothing stands out of noise, and a tone of power P stands out of noise of a
// variance V by 1 + 2P·N/3V in its line: a Hann window of N samples has the sum N/2, and its squares 3N/8 (F. J. Harris, Proc. IEEE 66, 1978, table 1).
func TestTone(t *testing.T) {
	const variance, hz, power = 0.04, 700.0, 0.001
	rng := rand.New(rand.NewPCG(1, 2))
	s := New()
	for range 400 {
		s.Add(white(rng, Hop, variance))
	}
	if p := s.Peaks(0, 2, -1600, 1600); len(p) != 0 {
		t.Errorf("in noise: %v", p)
	}
	for _, at := range []float64{-1000, 0, 1000} {
		if n := s.Noise(at); math.Abs(n/variance-1) > 0.06 {
			t.Errorf("noise at %g Hz: %g, want %g", at, n, variance)
		}
	}
	s.Reset()
	for h := range 400 {
		z := white(rng, Hop, variance)
		for i := range z {
			re, im := math.Sincos(2 * math.Pi * hz / Rate * float64(h*Hop+i))
			z[i] += complex(float32(math.Sqrt(power)*im), float32(math.Sqrt(power)*re))
		}
		s.Add(z)
	}
	peaks := s.Peaks(0, 2, -1600, 1600)
	if len(peaks) != 1 || math.Abs(peaks[0].Hz-hz) > 1 {
		t.Fatalf("%v", peaks)
	}
	offset := (hz + Rate/2) / LineHz
	offset -= math.Round(offset)
	if want := 1 + 2./3*lines*power/variance*hannLoss(offset); math.Abs(10*math.Log10(peaks[0].Ratio/want)) > 0.7 {
		t.Errorf("it stands out by %g, want %g", peaks[0].Ratio, want)
	}
}

// hannLoss is the power of a tone that is so many lines off the middle of one: (sinc x / (1-x²))² (Harris, 1978).
func hannLoss(x float64) float64 {
	if x == 0 {
		return 1
	}
	s := math.Sin(math.Pi*x) / (math.Pi * x) / (1 - x*x)
	return s * s
}

// Two humps as wide as five lines and as far apart are two peaks of five lines, and their middles are found.
func TestHumps(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	s := New()
	phase := [2]float64{}
	for range 400 {
		z := white(rng, Hop, 0.01)
		for i := range z {
			for k, hz := range []float64{-300, -240} {
				if i%128 == 0 && rng.IntN(2) == 1 { // reversals at 31.25 Bd
					phase[k] += math.Pi
				}
				phase[k] += 2 * math.Pi * hz / Rate
				re, im := math.Sincos(phase[k])
				z[i] += complex(float32(0.05*im), float32(0.05*re))
			}
		}
		s.Add(z)
	}
	peaks := s.Peaks(2, 2, -1600, 1600)
	if len(peaks) != 2 {
		t.Fatalf("%v", peaks)
	}
	for _, p := range peaks {
		if math.Abs(p.Hz+300) > 8 && math.Abs(p.Hz+240) > 8 {
			t.Errorf("%v", p)
		}
	}
}

func BenchmarkAdd(b *testing.B) {
	z := white(rand.New(rand.NewPCG(1, 2)), Hop, 1)
	s := New()
	b.ReportAllocs()
	for b.Loop() {
		s.Add(z)
	}
}

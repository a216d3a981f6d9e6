package demod

import (
	"math"
	"math/cmplx"
	"slices"
	"testing"
)

// A spur at 0 Hz goes at once; a tone loses what a high-pass of the first order takes from it, 1/(1+1/jωτ).
func TestDCBlock(t *testing.T) {
	const rate, seconds = 8000.0, 0.5
	spur := make([]complex64, 100)
	for i := range spur {
		spur[i] = complex(0.3, -0.4)
	}
	d := NewDCBlock(rate, seconds)
	d.Filter(spur, spur)
	for i, z := range spur {
		if cmplx.Abs(complex128(z)) > 1e-7 {
			t.Fatalf("sample %d of the spur is %v", i, z)
		}
	}
	for _, hz := range []float64{1 / (2 * math.Pi * seconds), 2, -50} {
		z := exponential(10*rate, rate, hz, 0)
		for i := range z {
			z[i] += complex(0.3, -0.4)
		}
		d := NewDCBlock(rate, seconds)
		d.Filter(z, z)
		want := 1 / (1 + 1/complex(0, 2*math.Pi*hz*seconds))
		for i := len(z) - 2000; i < len(z); i++ {
			w := want * cmplx.Rect(1, 2*math.Pi*hz*float64(i)/rate)
			if cmplx.Abs(complex128(z[i])-w) > 2e-4 {
				t.Fatalf("%g Hz: sample %d is %v, want %v", hz, i, z[i], w)
			}
		}
	}
}

func TestDCBlockBlocksAndBadSamples(t *testing.T) {
	nan := float32(math.NaN())
	z := append(noiseIQ(1000), complex(nan, 1), complex(1, float32(math.Inf(-1))), 0.5)
	whole, parts := make([]complex64, len(z)), make([]complex64, len(z))
	d := NewDCBlock(100, 1)
	d.Filter(whole, z)
	d = NewDCBlock(100, 1)
	for i := 0; i < len(z); i += 7 {
		d.Filter(parts[i:min(i+7, len(z))], z[i:min(i+7, len(z))])
	}
	if !slices.Equal(whole, parts) || cmplx.IsNaN(complex128(whole[len(whole)-1])) {
		t.Error("blocks differ, or bad samples stay")
	}
}

package demod

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"
)

// Against the definition.
func TestFFT(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{2, 8, 512, 1024} {
		x := make([]complex64, n)
		for i := range x {
			x[i] = complex(float32(rng.NormFloat64()), float32(rng.NormFloat64()))
		}
		y := slices.Clone(x)
		NewFFT(n).Transform(y)
		for k, got := range y {
			var want complex128
			for i, v := range x {
				want += complex128(v) * cmplx.Exp(complex(0, -2*math.Pi*float64(k*i)/float64(n)))
			}
			if cmplx.Abs(complex128(got)-want) > 1e-3 {
				t.Errorf("%d samples: X[%d] = %v, want %v", n, k, got, want)
			}
		}
	}
}

// Against sorting, with equal values among the others.
func TestQuantile(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for n := 1; n < 60; n++ {
		x := make([]float64, n)
		for i := range x {
			x[i] = float64(rng.IntN(20))
		}
		sorted := slices.Sorted(slices.Values(x))
		k := rng.IntN(n)
		if got := Quantile(x, k); got != sorted[k] {
			t.Errorf("%d of %v is %v, not %v", k, sorted, got, sorted[k])
		}
	}
}

package demod_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"ionoscribe/demod"
)

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
		if got := demod.Quantile(x, k); got != sorted[k] {
			t.Errorf("%d of %v is %v, not %v", k, sorted, got, sorted[k])
		}
	}
}

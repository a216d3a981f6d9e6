package draw

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// The means and variances of a row are those of the inverse of its precision matrix, as a general solver has them.
func TestSolve(t *testing.T) {
	const n = 40
	rng := rand.New(rand.NewPCG(1, 1))
	e := newDeconvolver(n)
	for k := range e.gram {
		for i := k; i <= band; i++ {
			e.gram[k] += math.Exp(-float64(i)/3) * math.Exp(-float64(i-k)/3)
		}
	}
	p, rhs := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	for range 2 { // the second time with what is left of the first
		for i := range n {
			e.sites[i] = site{0.1 + rng.Float64(), rng.NormFloat64()}
			e.rhs[i] = rng.NormFloat64()
			rhs.SetVec(i, e.rhs[i]+e.sites[i].weighted)
			for k := range n {
				v := 0.0
				if d := max(i-k, k-i); d <= band {
					v = e.gram[d]
				}
				if i == k {
					v += e.sites[i].precision
				}
				p.Set(i, k, v)
			}
		}
		e.solve()
		var inverse mat.Dense
		var mean mat.VecDense
		if err := inverse.Inverse(p); err != nil {
			t.Fatal(err)
		}
		mean.MulVec(&inverse, rhs)
		for i := range n {
			if math.Abs(e.mean[i]-mean.AtVec(i)) > 1e-9 || math.Abs(e.cov[i]-inverse.At(i, i)) > 1e-9 {
				t.Errorf("element %d: %g ± %g, want %g ± %g", i, e.mean[i], e.cov[i], mean.AtVec(i), inverse.At(i, i))
			}
		}
	}
}

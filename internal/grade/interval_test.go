package grade

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// Values: SciPy (testdata/interval.py).
func TestIntervalsSciPy(t *testing.T) {
	var v struct {
		Shares []struct {
			Wrong, Of []int
			Want      [3]float64
		}
		Mean struct {
			X    []float64
			Want [3]float64
		}
	}
	readJSON(t, "testdata/interval.json", &v)
	near := func(got Interval, want [3]float64) bool {
		return math.Abs(got.Value-want[0]) < 1e-6 && math.Abs(got.Low-want[1]) < 1e-6 && math.Abs(got.High-want[2]) < 1e-6
	}
	for _, c := range v.Shares {
		if got := proportion(c.Wrong, c.Of); !near(got, c.Want) {
			t.Errorf("%v of %v: %v, SciPy says %v", c.Wrong, c.Of, got, c.Want)
		}
	}
	if got := meanOf(v.Mean.X); !near(got, v.Mean.Want) {
		t.Errorf("mean %v, SciPy says %v", got, v.Mean.Want)
	}
}

// Of many 95 % intervals, 95 % hold the true share, although the errors come in bursts: the share of errors differs
// from message to message as the beta distribution says.
func TestCoverage(t *testing.T) {
	const sets, messages, length = 2000, 40, 300
	for _, c := range []struct{ a, b float64 }{{0.5, 9.5}, {2, 18}, {500, 500}} {
		rng := rand.New(rand.NewPCG(1, 2))
		beta := distuv.Beta{Alpha: c.a, Beta: c.b, Src: rng}
		held := 0
		wrong, of := make([]int, messages), make([]int, messages)
		for range sets {
			for i := range of {
				share := distuv.Binomial{N: length, P: beta.Rand(), Src: rng}
				wrong[i], of[i] = int(share.Rand()), length
			}
			if v, p := proportion(wrong, of), c.a/(c.a+c.b); v.Low <= p && p <= v.High {
				held++
			}
		}
		t.Logf("beta(%g, %g): %.1f %%", c.a, c.b, 100*float64(held)/sets)
		if share := float64(held) / sets; share < 0.92 || share > 0.97 {
			t.Errorf("beta(%g, %g): %.1f %% of the intervals hold the share", c.a, c.b, 100*share)
		}
	}
}

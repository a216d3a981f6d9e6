package draw

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// courseEvidence is the logarithm of the probability density of y for one course of levels, less n·log π, without the
// filter: y = H·g + noise is jointly Gaussian, so its covariance is made element by element and gonum's Cholesky
// decomposition does the rest. Real and imaginary parts of a complex Gaussian are laid out as one real vector of
// twice the length (Neeser and Massey, IEEE Trans. Information Theory 39, 1993).
func courseEvidence(y []complex64, white []bool, theta, delay, noise, drift float64, start gains) float64 {
	n := len(y)
	level := func(i int) float64 {
		if i < 0 || white[i] {
			return 1
		}
		return -1
	}
	phase := func(t float64) float64 { // of the signal, by integrating its frequency from far before the first step
		sum := 0.0
		for i := -40; i < n; i++ {
			sum += theta * level(i) * min(max(t-(float64(i)-0.5), 0), 1)
		}
		return sum
	}
	zero := phase(-1) // the phase of the state before the first step
	h := make([][2]complex128, n)
	for i := range h {
		t := float64(i)
		h[i] = [2]complex128{cmplx.Rect(1, phase(t)-zero), cmplx.Rect(1, phase(t-delay)-zero)}
	}
	p := [2][2]complex128{
		{complex(float64(start.varFirst), 0), complex128(start.covariance)},
		{cmplx.Conj(complex128(start.covariance)), complex(float64(start.varSecond), 0)},
	}
	c := mat.NewSymDense(2*n, nil)
	d := mat.NewVecDense(2*n, nil)
	for i := range n {
		e := complex128(y[i]) - h[i][0]*complex128(start.first) - h[i][1]*complex128(start.second)
		d.SetVec(i, real(e))
		d.SetVec(n+i, imag(e))
		for k := range n {
			var v complex128
			for a := range 2 {
				for b := range 2 {
					q := p[a][b]
					if a == b { // a random walk: what both have in common
						q += complex(drift*float64(min(i, k)), 0)
					}
					v += h[i][a] * q * cmplx.Conj(h[k][b])
				}
			}
			if i == k {
				v += complex(noise, 0)
			}
			if i <= k {
				c.SetSym(i, k, real(v)/2)
				c.SetSym(n+i, n+k, real(v)/2)
			}
			c.SetSym(i, n+k, -imag(v)/2)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(c) {
		return math.NaN()
	}
	var x mat.VecDense
	if err := chol.SolveVecTo(&x, d); err != nil {
		return math.NaN()
	}
	return -chol.LogDet()/2 - mat.Dot(d, &x)/2 - float64(n)*math.Ln2
}

// The best course and its evidence are those of all 2^n courses, tried one by one.
func TestSurvivorsAgainstEnumeration(t *testing.T) {
	const n, theta, noise = 9, 0.69, 0.05
	c := chain{toBlack: 0.2, toWhite: 0.4}
	for _, delay := range []float64{1, 1.8, 2.4} {
		rng := rand.New(rand.NewPCG(1, uint64(10*delay)))
		start := survivor{levels: math.MaxUint64, gains: gains{first: 0.7, second: 0.3i, varFirst: 0.2, varSecond: 0.3, covariance: 0.1 + 0.05i}}
		y, prior := make([]complex64, n), make([]float32, n)
		for i := range y {
			y[i] = complex64(cmplx.Rect(1, theta*float64(i+1)) + complex(0.4*rng.NormFloat64(), 0.4*rng.NormFloat64()))
			prior[i] = float32(0.2 + 0.6*rng.Float64())
		}
		best := math.Inf(-1)
		var course int
		for k := range 1 << n {
			white := make([]bool, n)
			e, last := 0.0, true
			for i := range white {
				white[i] = k>>i&1 == 1
				p := prior[i]
				if !white[i] {
					p = 1 - p
				}
				change := c.toBlack
				if !last {
					change = c.toWhite
				}
				if white[i] == last {
					change = 1 - change
				}
				e += math.Log(2*float64(p)) + math.Log(float64(change))
				last = white[i]
			}
			if e += courseEvidence(y, white, theta, delay, noise, gainDrift, start.gains); e > best {
				best, course = e, k
			}
		}
		s := newSurvivors(n, theta, delay, 64, n-1)
		white, first, second := make([]bool, n), make([]complex64, n), make([]complex64, n)
		evidence, _ := s.run(y, prior, c, start, noise, white, first, second)
		if math.Abs(evidence-best) > 2e-3 {
			t.Errorf("delay %g: evidence %.4f, of all courses %.4f", delay, evidence, best)
		}
		for i := range white {
			if white[i] != (course>>i&1 == 1) {
				t.Errorf("delay %g: step %d of the best course differs", delay, i)
			}
		}
	}
}

// A row ends in the state with which the next one goes on.
func TestSurvivorsGoOn(t *testing.T) {
	const n, more, theta = 60, 20, 0.69
	s := newSurvivors(n+more, theta, 3, 24, n-1)
	white, first, second := make([]bool, n+more), make([]complex64, n+more), make([]complex64, n+more)
	y, prior := make([]complex64, n+more), make([]float32, n+more)
	level := func(i int) float64 { // three black steps after eight white ones
		if i >= 0 && i%11 > 7 {
			return -1
		}
		return 1
	}
	phase, late, behind := 0.0, 0.0, 0.0
	for i := range y {
		phase += theta * (level(i-1) + level(i)) / 2
		late += theta * (level(i-4) + level(i-3)) / 2
		y[i] = complex64(0.6*cmplx.Rect(1, phase) + 0.5i*cmplx.Rect(1, late-3*theta))
		prior[i] = 0.5
		if i == n-1 {
			behind = phase
		}
	}
	start := survivor{levels: math.MaxUint64, gains: gains{first: 0.6, second: 0.5i, varFirst: 0.1, varSecond: 0.1}}
	_, end := s.run(y, prior, firstChain, start, 0.01, white, first, second)
	for i := range 40 {
		if (end.levels>>i&1 == 1) != (level(n-1-i) > 0) {
			t.Errorf("%d steps back the level is wrong", i)
		}
	}
	// The gains are turned to the phase behind step n-1.
	if d := cmplx.Abs(complex128(end.gains.first) - cmplx.Rect(0.6, behind)); d > 0.03 {
		t.Errorf("the first gain is off by %.3f", d)
	}
	if d := cmplx.Abs(complex128(end.gains.second) - 0.5i*cmplx.Rect(1, behind)); d > 0.03 {
		t.Errorf("the second gain is off by %.3f", d)
	}
}

package draw

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// deconvolverCase is a row that is white for a while at both ends, so that nothing is cut off there.
type deconvolverCase struct {
	response response
	prior    []shares
	x, steps []float64 // elements less white, and the steps they make behind the whitening
	h        *mat.Dense
}

const (
	unknownElements = 9 // in the middle of a case
	sureElements    = 20
)

// newDeconvolverCase is a row whose middle has a prior and elements drawn from it by draw.
func newDeconvolverCase(rng *rand.Rand, prior shares, noise float64, draw func() float64) *deconvolverCase {
	c := &deconvolverCase{response: response{
		taps:  [responseTaps]float64{-0.02, 0.05, 0.2, 0.45, 0.25, 0.1, 0, -0.02, 0, -0.01},
		noise: noise, whiten: [whitening + 1]float64{1, 0.6, 0.2, 0.1},
	}}
	n := unknownElements + 2*sureElements
	taps := make([]float64, band+1) // of both filters together
	for i, a := range c.response.whiten {
		for k, h := range c.response.taps {
			taps[i+k] += a * h
		}
	}
	c.h = mat.NewDense(n, n, nil)
	c.x, c.steps = make([]float64, n), make([]float64, n)
	for j := range n {
		if j >= sureElements && j < sureElements+unknownElements {
			c.x[j] = draw()
		}
		for k, h := range taps {
			if i := j + k - responseBefore; i >= 0 && i < n {
				c.h.Set(i, j, h)
			}
		}
	}
	mat.NewVecDense(n, c.steps).MulVec(c.h, mat.NewVecDense(len(c.x), c.x))
	for i := range n {
		p := shares{white: 1, variance: 1}
		if i >= sureElements && i < sureElements+unknownElements {
			p = prior
		}
		c.prior = append(c.prior, p)
		if i >= sureElements-band && i < sureElements+unknownElements+band {
			c.steps[i] += math.Sqrt(noise) * rng.NormFloat64()
		}
	}
	return c
}

// run gives what the deconvolver makes of the elements in question, less white, and their variances.
func (c *deconvolverCase) run() (mean, variance []float64) {
	// The steps as they were before the whitening.
	b, white := make([]float32, len(c.steps)), c.response.white()
	left := make([]float64, len(b))
	for n := range b {
		left[n] = c.steps[n]
		for k := 1; k <= min(whitening, n); k++ {
			left[n] -= c.response.whiten[k] * left[n-k]
		}
		b[n] = float32(left[n] + white)
	}
	e := newDeconvolver(len(b))
	e.run(b, &c.response, c.prior)
	for i := range unknownElements {
		mean = append(mean, float64(e.out[sureElements+i])-1)
		variance = append(variance, e.variance[sureElements+i])
	}
	return mean, variance
}

// With nothing but greys the deconvolver is the Bayesian linear model: mean and covariance are those of Kay, Fundamentals
// of Statistical Signal Processing: Estimation Theory, 1993, theorem 10.3, in the form that inverts the covariance of
// what is observed.
func TestDeconvolverOfGreys(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	prior := shares{grey: 1, mean: -0.4, variance: 0.06}
	const sure = 5e-4 // elements that are white count as known to 0.01; together they let so much more be possible
	for range 20 {
		noise := math.Pow(10, -1-3*rng.Float64())
		c := newDeconvolverCase(rng, prior, noise, func() float64 {
			return prior.mean + math.Sqrt(prior.variance)*rng.NormFloat64()
		})
		n := len(c.steps)
		var covariance mat.Dense
		var reach mat.Dense // of a step with an element
		reach.Apply(func(_, j int, h float64) float64 { return h * c.prior[j].grey * prior.variance }, c.h)
		covariance.Mul(&reach, c.h.T())
		of := mat.NewVecDense(n, nil)
		for i := range n {
			covariance.Set(i, i, covariance.At(i, i)+noise)
			sum := 0.0
			for j := range unknownElements {
				sum += c.h.At(i, sureElements+j) * prior.mean
			}
			of.SetVec(i, c.steps[i]-sum)
		}
		var inverse, gain, want, less mat.Dense
		if err := inverse.Inverse(&covariance); err != nil {
			t.Fatal(err)
		}
		gain.Mul(reach.T(), &inverse)
		want.Mul(&gain, of)
		less.Mul(&gain, &reach)
		mean, variance := c.run()
		for i := range mean {
			if w := prior.mean + want.At(sureElements+i, 0); math.Abs(mean[i]-w) > 0.1*math.Sqrt(variance[i]) {
				t.Errorf("noise %.2g: element %d is %.4f, want %.4f", noise, i, mean[i], w)
			}
			if w := prior.variance - less.At(sureElements+i, sureElements+i); math.Abs(variance[i]-w) > sure+0.02*w {
				t.Errorf("noise %.2g: element %d has the variance %.3g, want %.3g", noise, i, variance[i], w)
			}
		}
	}
}

// With black and white alone there are 2^9 rows, whose probabilities give the means. Expectation propagation is near
// them: the root mean square of the difference is 0.067 where all white or the prior's mean would differ by 0.4.
func TestDeconvolverOfTwoLevels(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	prior := shares{black: 0.3, white: 0.7, variance: 1}
	var squares, blind, count float64
	for range 60 {
		noise := math.Pow(10, -1-2*rng.Float64())
		c := newDeconvolverCase(rng, prior, noise, func() float64 {
			if rng.Float64() < prior.black {
				return -1
			}
			return 0
		})
		var total float64
		var want [unknownElements]float64
		for row := range 1 << unknownElements {
			p, blacks := 1.0, 0
			rest := append([]float64(nil), c.steps...)
			for j := range unknownElements {
				if row>>j&1 == 0 {
					continue
				}
				blacks++
				for i := range rest {
					rest[i] += c.h.At(i, sureElements+j)
				}
			}
			sum := 0.0
			for _, v := range rest {
				sum += v * v
			}
			p = math.Exp(-sum/2/noise) * math.Pow(prior.black, float64(blacks)) * math.Pow(prior.white, float64(unknownElements-blacks))
			total += p
			for j := range want {
				if row>>j&1 == 1 {
					want[j] -= p
				}
			}
		}
		mean, _ := c.run()
		for j := range want {
			d := mean[j] - want[j]/total
			squares += d * d
			blind += (want[j]/total + prior.black) * (want[j]/total + prior.black)
			count++
		}
	}
	got, none := math.Sqrt(squares/count), math.Sqrt(blind/count)
	t.Logf("RMS difference %.3f; of the prior's mean %.3f", got, none)
	if got > 0.08 {
		t.Errorf("RMS difference from the exact means %.3f, want 0.08 at most", got)
	}
}

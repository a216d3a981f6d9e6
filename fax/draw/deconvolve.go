package draw

import "math"

// deconvolver estimates the elements of a row from its steps, given the response. An element is black, white, or
// something between; its estimate is the mean of what is probable, given the whole row (expectation propagation: Minka,
// Uncertainty in Artificial Intelligence 17, 2001). Each element's prior is replaced by a Gaussian; the row is
// then jointly Gaussian, with a banded precision matrix. What the matrix says of an element without the element's own
// Gaussian is put together with its true prior, and the Gaussian is set to have the mean and variance that come out.
// Elements are counted from white here, black being -1, so that what lies beyond the ends is zero.
type deconvolver struct {
	taps  [band + 1]float64 // whitened
	gram  [band + 1]float64 // their autocorrelation over the noise
	steps []float64         // whitened, less white
	sites []site
	// The precision matrix is l·diag(d)·lᵀ: of element i with i+k, column[i][band-k].
	column   [][band]float64
	inverse  []float64                     // of d
	near     [nearRows][2*band + 1]float64 // covariance of element i with i+k, near[i%nearRows][band+k]
	cov      []float64                     // of each element with itself
	rhs      []float64
	mean     []float64
	like     []shares // how probable black, white and grey are
	out      []float32
	variance []float64 // of out
}

const (
	// band is how far elements lie apart at most that meet in a whitened step.
	band = responseTaps - 1 + whitening
	// nearRows hold those elements, a power of two.
	nearRows = 16
	// deconvolverRounds of expectation propagation: five gain two-level charts of 39 dB some dB, anti-aliased ones nothing
	// (simulation).
	deconvolverRounds = 3
	// damping is the share of the new in each round's sites, against swinging.
	damping = 0.7
	// leastPrecision is that of a Gaussian that tells nothing of something between black and white.
	leastPrecision = 1e-2
)

// shares is how probable black, white, and grey are, and the mean and variance of grey.
type shares struct {
	black, white, grey float64
	mean, variance     float64
}

// sharesSum is a sum of shares.
type sharesSum struct{ black, white, grey, first, second float64 }

func (s *sharesSum) add(p shares, weight float64) {
	s.black += weight * p.black
	s.white += weight * p.white
	s.grey += weight * p.grey
	s.first += weight * p.grey * p.mean
	s.second += weight * p.grey * (p.mean*p.mean + p.variance)
}

// shares is what was summed up and other, which counts so much.
func (s sharesSum) shares(other shares, weight float64) shares {
	s.add(other, weight)
	total := s.black + s.white + s.grey
	m := s.first / s.grey
	return shares{s.black / total, s.white / total, s.grey / total, m, s.second/s.grey - m*m}
}

// site is a Gaussian by its precision and the precision times the mean.
type site struct{ precision, weighted float64 }

func newDeconvolver(n int) *deconvolver {
	return &deconvolver{
		steps: make([]float64, n+band), sites: make([]site, n), column: make([][band]float64, n), inverse: make([]float64, n),
		cov: make([]float64, n), rhs: make([]float64, n), mean: make([]float64, n),
		like: make([]shares, n), out: make([]float32, n), variance: make([]float64, n),
	}
}

// run estimates the elements of a row with steps b, into out and like. prior is that of each element.
func (e *deconvolver) run(b []float32, r *response, prior []shares) {
	e.taps = [band + 1]float64{}
	for i, h := range r.taps {
		for k, a := range r.whiten {
			e.taps[i+k] += a * h
		}
	}
	for k := range e.gram {
		e.gram[k] = 0
		for i := k; i <= band; i++ {
			e.gram[k] += e.taps[i] * e.taps[i-k] / r.noise
		}
	}
	white := r.white()
	for n := range e.steps {
		e.steps[n] = 0
		for k, a := range r.whiten {
			e.steps[n] += a * (float64(b[min(max(n-k, 0), len(b)-1)]) - white)
		}
	}
	for i := range e.rhs {
		sum := 0.0
		for k, h := range e.taps {
			sum += h * e.steps[max(i+k-responseBefore, 0)]
		}
		e.rhs[i] = sum / r.noise
		p := prior[i]
		m := -p.black + p.grey*p.mean
		v := p.black + p.grey*(p.variance+p.mean*p.mean) - m*m
		e.sites[i] = site{1 / (v + 1e-4), m / (v + 1e-4)}
	}
	for range deconvolverRounds {
		e.solve()
		for i := range e.sites {
			mean, of := e.update(i, prior[i])
			e.out[i] = float32(1 + mean + of*(e.mean[i]-mean))
		}
	}
}

// solve sets the means and covariances that the row has with the sites. It is most of the work of a soft chart, so its
// inner loops run along rows in memory.
func (e *deconvolver) solve() {
	n := len(e.sites)
	for i := range n {
		row := e.gram // times d for now: of i with i-k
		reach := min(band, i)
		for q := reach; q > 1; q-- {
			v, nearer := row[q], row[1:q]
			for k, l := range e.column[i-q][band+1-q:][:len(nearer)] {
				nearer[k] -= v * l
			}
		}
		d := row[0] + e.sites[i].precision
		m := e.rhs[i] + e.sites[i].weighted
		for k := 1; k <= reach; k++ {
			t := row[k] * e.inverse[i-k]
			d -= t * row[k]
			m -= t * e.mean[i-k]
			e.column[i-k][band-k] = t
		}
		e.inverse[i], e.mean[i] = 1/d, m
	}
	e.near = [nearRows][2*band + 1]float64{}
	for i := n - 1; i >= 0; i-- {
		reach := min(band, n-1-i)
		m := e.mean[i] * e.inverse[i]
		var l [band]float64 // of i+1+k with i
		for k := range reach {
			l[k] = e.column[i][band-1-k]
			m -= l[k] * e.mean[i+1+k]
		}
		e.mean[i] = m
		// Covariances within the band (Takahashi, Fagan and Chen, IEEE PICA Conference 1973).
		own := e.inverse[i]
		row := &e.near[i%nearRows]
		for k := 1; k <= reach; k++ {
			other := &e.near[(i+k)%nearRows]
			v := -dot(&l, (*[band]float64)(other[band+1-k:]))
			own -= l[k-1] * v
			row[band+k], other[band-k] = v, v
		}
		row[band], e.cov[i] = own, own
	}
}

// dot is the sum of products, for a band of 12, which is written out: a loop takes twice as long.
func dot(a, b *[band]float64) float64 {
	x := a[0]*b[0] + a[1]*b[1] + a[2]*b[2] + a[3]*b[3]
	y := a[4]*b[4] + a[5]*b[5] + a[6]*b[6] + a[7]*b[7]
	z := a[8]*b[8] + a[9]*b[9] + a[10]*b[10] + a[11]*b[11]
	return x + y + z
}

var _ = [1]struct{}{}[band-12] // does not compile for another

// update sets the site of element i and returns the element's mean and how probably it is grey. Before the sites have
// settled, the mean of a grey is drawn towards that of its prior, if its filter tells little of an element alone; that of
// the row as a whole is not.
func (e *deconvolver) update(i int, prior shares) (mean, grey float64) {
	s := &e.sites[i]
	whole := 1 / e.cov[i]
	precision := whole - s.precision
	if precision < leastPrecision {
		e.variance[i] = e.cov[i]
		return e.mean[i], 1
	}
	v := 1 / precision
	m := (whole*e.mean[i] - s.weighted) * v
	p := possible(m, v, prior)
	e.like[i] = p
	mean = p.grey*p.mean - p.black
	variance := p.black + p.grey*(p.mean*p.mean+p.variance) - mean*mean
	e.variance[i] = variance
	next := site{precision: max(1/max(variance, 1e-4)-precision, leastPrecision)}
	next.weighted = mean*(next.precision+precision) - m*precision
	s.precision += damping * (next.precision - s.precision)
	s.weighted += damping * (next.weighted - s.weighted)
	return mean, p.grey
}

// possible is what is to be expected of an element that the others tell to be m with variance v.
func possible(m, v float64, prior shares) shares {
	w := v + prior.variance
	level := 1 / math.Sqrt(v)
	black := prior.black * level * math.Exp(-0.5*(m+1)*(m+1)/v)
	white := prior.white * level * math.Exp(-0.5*m*m/v)
	grey := prior.grey / math.Sqrt(w) * math.Exp(-0.5*(m-prior.mean)*(m-prior.mean)/w)
	total := black + white + grey + 1e-300
	return shares{black / total, white / total, grey / total, (m*prior.variance + prior.mean*v) / w, v * prior.variance / w}
}

package draw

import "math"

// A transmitter's filter rounds the edges of a picture, and so do the filters on the way. What the discriminator tells
// of a step is then a sum over the elements around it,
//
//	b(n) = base + Σ taps(k)·x(n+reach-k) + noise,
//
// x being the brightness as it was drawn; of the filtered pictures in the study fax-filter less than 1e-4 is not of
// this form. A response is read off the edges of the phasing lines, or fitted by least squares to what the trellis
// makes of the picture.
type response struct {
	taps   [responseTaps]float64
	base   float64
	noise  float64                // variance of the noise, black to white being 1; once coloured, behind whitening
	whiten [whitening + 1]float64 // filter that makes the noise white
}

const (
	// responseBefore and responseBehind are the steps before and behind an element into which it spreads. Filters with
	// an edge of 900 Hz ring for six; their delay counts as line start.
	responseBefore = 3
	responseBehind = 6
	responseTaps   = responseBefore + 1 + responseBehind
	// whitening is the order p of the filter: of the first difference of white noise, as the noise of a phase difference
	// is, it leaves (p+2)/(p+1) of what no filter can take, 1.0 dB with 3 and 0.8 dB with 4.
	whitening = 3
	// misfit is the least variance of what is not of the form above: filters are not quite linear in frequency.
	misfit = 1e-4
)

// responseFit gathers what a response is fitted to: sums of w·wᵀ and w·b, w being the elements around a step, and 1.
type responseFit struct {
	ww        [responseTaps + 1][responseTaps + 1]float64
	wb        [responseTaps + 1]float64
	bb, count float64
}

// add counts a row of steps b and elements x.
func (f *responseFit) add(b, x []float32) {
	for n := responseBehind; n < len(x)-responseBefore; n++ {
		var w [responseTaps + 1]float64
		for k := range responseTaps {
			w[k] = float64(x[n+responseBefore-k])
		}
		w[responseTaps] = 1
		v := float64(b[n])
		for j := range w {
			f.wb[j] += w[j] * v
			for k := j; k < len(w); k++ {
				f.ww[j][k] += w[j] * w[k]
			}
		}
		f.bb += v * v
		f.count++
	}
}

// solve gives the response with the least squares, by Cholesky decomposition.
func (f *responseFit) solve() (r response) {
	const n = responseTaps + 1
	var l [n][n]float64
	for j := range n {
		for k := j; k < n; k++ {
			sum := f.ww[j][k]
			if j == k {
				sum += 1e-6*f.count + 1e-30 // a page without edges tells nothing
			}
			for i := range j {
				sum -= l[j][i] * l[k][i]
			}
			if j == k {
				l[j][j] = math.Sqrt(max(sum, 1e-12))
			} else {
				l[k][j] = sum / l[j][j]
			}
		}
	}
	h := f.wb
	rest := f.bb
	for j := range n {
		for i := range j {
			h[j] -= l[j][i] * h[i]
		}
		h[j] /= l[j][j]
		rest -= h[j] * h[j]
	}
	for j := n - 1; j >= 0; j-- {
		for i := j + 1; i < n; i++ {
			h[j] -= l[i][j] * h[i]
		}
		h[j] /= l[j][j]
	}
	copy(r.taps[:], h[:responseTaps])
	r.base = h[responseTaps]
	r.noise = max(rest/max(f.count, 1), 0)
	return r
}

// white is what a step is in the midst of white.
func (r *response) white() float64 {
	sum := r.base
	for _, h := range r.taps {
		sum += h
	}
	return sum
}

// colour sets the whitening filter and the noise behind it (Levinson and Durbin) from the covariance of the noise that
// is to be expected. If there is more noise than that, the rest is white.
func (r *response) colour(lags [whitening + 1]float64) {
	lags[0] = max(r.noise, lags[0]+misfit)
	a := [whitening + 1]float64{1}
	e := lags[0]
	for k := 1; k <= whitening; k++ {
		sum := 0.0
		for i := range k {
			sum += a[i] * lags[k-i]
		}
		g := -sum / e
		b := a
		for i := 1; i <= k; i++ {
			b[i] = a[i] + g*a[k-i]
		}
		a = b
		e *= 1 - g*g
	}
	r.whiten, r.noise = a, e
}

// phasingResponse reads the response off the phasing lines before the chart. Their edges lie at known places with
// nothing else around, and from step to step the brightness changes by the response. It returns false if there are no
// such edges.
func phasingResponse(s *lineSource) (r response, ok bool) {
	const rows, before = 50, 5 // lines, and lines between them and the chart
	b, mean := make([]float32, s.grid.steps+2*lead), make([]float64, s.grid.steps+2*lead)
	for row := -rows - before; row < -before; row++ {
		s.load(row)
		s.edges(b, row)
		for i, v := range b {
			mean[i] += float64(v) / rows
		}
	}
	n := float64(s.grid.steps)
	for _, places := range [][2]float64{{PulseShare / 2 * n, (1 - PulseShare/2) * n}, {0, n / 2}} {
		first, up := edgeResponse(mean, places[0]+lead)
		second, down := edgeResponse(mean, places[1]+lead)
		const whole = 0.85 // of the way from black to white
		if up*down < 0 && min(math.Abs(up), math.Abs(down)) > whole {
			for k := range r.taps {
				r.taps[k] = (first[k]/up + second[k]/down) / 2
			}
			return r, true
		}
	}
	return r, false
}

// edgeResponse is what b changes by from step to step around an edge at the given place, moved to the nearest step,
// and the sum of that.
func edgeResponse(b []float64, place float64) (h [responseTaps]float64, sum float64) {
	at := int(math.Round(place))
	for k := range h {
		n := at + k - responseBefore
		h[k] = b[n] - b[n-1]
		sum += h[k]
	}
	// By the parabola through three taps.
	by := float64(at) - place
	moved := h
	for k := range h {
		var before, behind float64
		if k > 0 {
			before = h[k-1]
		}
		if k+1 < len(h) {
			behind = h[k+1]
		}
		moved[k] = (1-by*by)*h[k] + (by*by+by)/2*before + (by*by-by)/2*behind
	}
	return moved, sum
}

package rtty

import (
	"math"

	"ionoscribe/demod"
)

// perElement is the number of grid points in an element: the steps in which times are told. A filter that is off by
// half a step loses a sixteenth of an element.
const perElement = 8

// gridSize is how many grid points are kept; a power of two.
const (
	gridSize = 2048
	gridMask = gridSize - 1
)

// tones has the matched filters of one element: mixers for mark and space, and running sums of what comes out of them,
// noted at the points of a fine time grid. The filter's output for the element that begins at point g is the sum at
// g+perElement less that at g; nothing needs to fall on whole samples.
type tones struct {
	hz   [2]float64 // of mark and space
	osc  [2]demod.Oscillator
	step float64 // wide samples from point to point
	next float64 // time of the next point, in wide samples from the beginning of the next block
	sum  [2]complex128
	mass float64 // running sum of the weights

	points int64 // noted so far
	at     [2][gridSize]complex128
	masses [gridSize]float64
}

const (
	mark  = 0
	space = 1
)

// begin forgets everything and listens for other tones.
func (t *tones) begin(markHz, spaceHz, baud float64) {
	t.step = wideRate / (baud * perElement)
	t.next, t.mass, t.points = 0, 0, 0
	t.sum = [2]complex128{}
	t.osc = [2]demod.Oscillator{}
	t.tune(markHz, spaceHz)
}

// tune goes on at other frequencies.
func (t *tones) tune(markHz, spaceHz float64) {
	t.hz = [2]float64{markHz, spaceHz}
	for k := range t.osc {
		t.osc[k].Tune(wideRate, wideCentreHz-t.hz[k])
	}
}

// listen takes a block.
func (t *tones) listen(z []complex64, weight []float32) {
	// The sums begin at 0 in each block, so that they stay exact; the points of the past move along.
	for i := max(0, t.points-2*perElement); i < t.points; i++ {
		t.at[mark][i&gridMask] -= t.sum[mark]
		t.at[space][i&gridMask] -= t.sum[space]
		t.masses[i&gridMask] -= t.mass
	}
	var sum [2]complex128
	mass, next := 0.0, t.next
	at := math.Floor(next)
	for n, v := range z {
		w := weight[n/hopLength]
		v = complex(real(v)*w, imag(v)*w)
		m := v * t.osc[mark].Next()
		s := v * t.osc[space].Next()
		for float64(n) == at {
			f := next - at
			i := t.points & gridMask
			t.at[mark][i] = sum[mark] + complex(f*float64(real(m)), f*float64(imag(m)))
			t.at[space][i] = sum[space] + complex(f*float64(real(s)), f*float64(imag(s)))
			t.masses[i] = mass + f*float64(w)
			t.points++
			next += t.step
			at = math.Floor(next)
		}
		sum[mark] += complex128(m)
		sum[space] += complex128(s)
		mass += float64(w)
	}
	t.sum, t.mass, t.next = sum, mass, next-float64(len(z))
}

// element is the output of the filters for the element that begins at point g, per unit of weight, and the weight it
// had, 1 at most. halves is, of each tone, the product of the second half with the conjugate of the first.
func (t *tones) element(g int64) (out, halves [2]complex128, weight float64) {
	i, j, k := g&gridMask, (g+perElement/2)&gridMask, (g+perElement)&gridMask
	mass := t.masses[k] - t.masses[i]
	weight = mass / (perElement * t.step)
	scale := 1 / max(mass, 1e-9)
	for b := range out {
		first, second := t.at[b][j]-t.at[b][i], t.at[b][k]-t.at[b][j]
		s := first + second
		out[b] = complex(real(s)*scale, imag(s)*scale)
		halves[b] = second * complex(real(first), -imag(first))
	}
	return out, halves, min(weight, 1)
}

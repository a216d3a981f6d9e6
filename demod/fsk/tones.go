package fsk

import (
	"math"

	"ionoscribe/demod"
)

// PerElement is the number of grid points in an element: the steps in which times are told. A filter that is off by
// half a step loses a sixteenth of an element.
const PerElement = 8

// GridSize is how many grid points are kept; a power of two.
const (
	GridSize = 2048
	GridMask = GridSize - 1
)

// Tones has the matched filters of one element: mixers for mark and Space, and running sums of what comes out of them,
// noted at the points of a fine time grid. The filter's output for the element that begins at point g is the sum at
// g+PerElement less that at g; nothing needs to fall on whole samples.
type Tones struct {
	hz   [2]float64 // of mark and space
	osc  [2]demod.Oscillator
	step float64 // wide samples from point to point
	next float64 // time of the next point, in wide samples from the beginning of the next block
	sum  [2]complex128
	mass float64 // running sum of the weights

	points int64 // noted so far
	at     [2][GridSize]complex128
	masses [GridSize]float64
}

// The tones of a pair; codes that call them otherwise have the first for Mark.
const (
	Mark  = 0
	Space = 1
)

// begin forgets everything and listens for other tones.
func (t *Tones) begin(markHz, spaceHz, baud float64) {
	t.step = WideRate / (baud * PerElement)
	t.next, t.mass, t.points = 0, 0, 0
	t.sum = [2]complex128{}
	t.osc = [2]demod.Oscillator{}
	t.tune(markHz, spaceHz)
}

// tune goes on at other frequencies.
func (t *Tones) tune(markHz, spaceHz float64) {
	t.hz = [2]float64{markHz, spaceHz}
	for k := range t.osc {
		t.osc[k].Tune(WideRate, WideCentreHz-t.hz[k])
	}
}

// listen takes a block.
func (t *Tones) listen(z []complex64, weight []float32) {
	// The sums begin at 0 in each block, so that they stay exact; the points of the past move along.
	for i := max(0, t.points-2*PerElement); i < t.points; i++ {
		t.at[Mark][i&GridMask] -= t.sum[Mark]
		t.at[Space][i&GridMask] -= t.sum[Space]
		t.masses[i&GridMask] -= t.mass
	}
	var sum [2]complex128
	mass, next := 0.0, t.next
	at := math.Floor(next)
	for n, v := range z {
		w := weight[n/HopLength]
		v = complex(real(v)*w, imag(v)*w)
		m := v * t.osc[Mark].Next()
		s := v * t.osc[Space].Next()
		for float64(n) == at {
			f := next - at
			i := t.points & GridMask
			t.at[Mark][i] = sum[Mark] + complex(f*float64(real(m)), f*float64(imag(m)))
			t.at[Space][i] = sum[Space] + complex(f*float64(real(s)), f*float64(imag(s)))
			t.masses[i] = mass + f*float64(w)
			t.points++
			next += t.step
			at = math.Floor(next)
		}
		sum[Mark] += complex128(m)
		sum[Space] += complex128(s)
		mass += float64(w)
	}
	t.sum, t.mass, t.next = sum, mass, next-float64(len(z))
}

// element is the output of the filters for the element that begins at point g, per unit of weight, and the weight it
// had, 1 at most. halves is, of each tone, the product of the second half with the conjugate of the first.
func (t *Tones) element(g int64) (out, halves [2]complex128, weight float64) {
	i, j, k := g&GridMask, (g+PerElement/2)&GridMask, (g+PerElement)&GridMask
	mass := t.masses[k] - t.masses[i]
	weight = mass / (PerElement * t.step)
	scale := 1 / max(mass, 1e-9)
	for b := range out {
		first, second := t.at[b][j]-t.at[b][i], t.at[b][k]-t.at[b][j]
		s := first + second
		out[b] = complex(real(s)*scale, imag(s)*scale)
		halves[b] = second * complex(real(first), -imag(first))
	}
	return out, halves, min(weight, 1)
}

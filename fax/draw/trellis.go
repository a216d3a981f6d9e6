package draw

import (
	"math"

	"ionoscribe/demod"
)

// Two-level charts are frequency-shift keying whose phase never jumps: a pixel of white turns the phase
// forward, one of black turns it back, and the turn stays. A black stroke of one pixel in white leaves the
// phase of everything behind it 80 degrees late. A discriminator throws that away; the trellis uses it.
//
// Its states are the level of a step and the carrier's phase in the middle of that step, in phaseBins. It
// runs forward and backward over a line (Bahl, Cocke, Jelinek, Raviv, IEEE Trans. Inf. Theory 20, 1974,
// p. 284) and gives each step's probability of being white. The line begins at an unknown phase.

// phaseBins divides the circle. With 18 bins a pixel at 120 lines a minute turns the phase by two of
// them; finer division gained less than 0.1 dB in simulation.
const phaseBins = 18

// Observations are quantised: strength (squared scale up to maxStrength) and position within a bin.
const (
	strengths   = 32
	binParts    = 8
	maxStrength = 14 // a von Mises density of this strength is as wide as a bin: sharper ones fall between
)

type weights [2 * phaseBins]float32 // twice around, so that any rotation is a slice

// observation[s][f] is exp(k·(cos φ - 1)) over the phase bins for strength k and a phase of f/binParts bins.
var observation = makeObservations()

func makeObservations() *[strengths][binParts]weights {
	var o [strengths][binParts]weights
	for s := range o {
		k := maxStrength * math.Pow(float64(s)/(strengths-1), 2)
		for f := range o[s] {
			for q := range o[s][f] {
				phi := 2 * math.Pi / phaseBins * (float64(q) - (float64(f)+0.5)/binParts)
				o[s][f][q] = float32(math.Exp(k * (math.Cos(phi) - 1)))
			}
		}
	}
	return &o
}

// drift is the least variance, in squared bins, that a step adds to the phase of a level that stays. It
// forgets the phase over some twenty steps, so that a tuning error of 10 Hz costs little (0.1 dB at 6 dB
// SNR, against 7 dB without it; simulation of a dense chart), and noise gains little from it.
const drift = 0.06

// trellis holds the work space of one line.
type trellis struct {
	whole              int     // nearest whole number of bins by which a white step advances the phase
	behind, on, beyond float32 // shares that land one bin before it, on it and one bin after it
	forward            []float32
	rows               []*weights // observation of each step
	rotation           []int      // where its slice begins
	strength           float64    // sum over the steps of what the observations leave out of the evidence
}

// newTrellis prepares for lines of the given number of steps; white advances the phase by advance radians
// a step, black puts it back by as much.
func newTrellis(steps int, advance float64) *trellis {
	bins := advance * phaseBins / (2 * math.Pi)
	whole := math.Round(bins)
	rest := bins - whole
	// Three shares with sum 1, mean rest and variance about drift, or as little as the bins allow.
	spread := max(drift, math.Abs(rest))
	return &trellis{
		whole:    ((int(whole) % phaseBins) + phaseBins) % phaseBins,
		behind:   float32((spread - rest) / 2),
		on:       float32(1 - spread),
		beyond:   float32((spread + rest) / 2),
		forward:  make([]float32, steps*2*phaseBins),
		rows:     make([]*weights, steps),
		rotation: make([]int, steps),
	}
}

// observe sets what was received in step i: its phase in radians (-π to π) and strength, which is
// 2·amplitude·|y|/noise power.
func (t *trellis) observe(i int, phase, strength float32) {
	if i == 0 {
		t.strength = 0
	}
	t.strength += float64(min(strength, maxStrength)) // the table holds exp(k·(cos φ - 1)), not exp(k·cos φ)
	s := int(demod.Sqrt32(strength*(1.0/maxStrength))*(strengths-1) + 0.5)
	s = min(s, strengths-1)
	p := int((phase + 2*math.Pi) * (phaseBins * binParts / (2 * math.Pi)))
	t.rows[i] = &observation[s][p%binParts]
	t.rotation[i] = phaseBins - p/binParts%phaseBins
}

// ignore forgets what was observed.
func (t *trellis) ignore() {
	for i := range t.rows {
		t.observe(i, 0, 0)
	}
}

// chain is the prior on a line: probabilities that the level changes from one step to the next.
type chain struct{ toBlack, toWhite float32 }

// behindBy is where in a weights the slice begins that, indexed by q, gives the weight of bin q-back.
func behindBy(back int) int { return (2*phaseBins - back) % phaseBins }

// at is the slice of w that begins at offset.
func at(w *weights, offset int) *[phaseBins]float32 { return (*[phaseBins]float32)(w[offset:]) }

// run sets white[i] to the probability that step i is white. prior[i] is the step's own prior of white,
// relative to what the chain says: 0.5 adds nothing.
func (t *trellis) run(white, prior []float32, c chain) {
	t.ahead(prior, c)
	t.back(white, prior, c)
}

// ahead is the forward pass. It returns the logarithm of the probability of what was observed.
func (t *trellis) ahead(prior []float32, c chain) (evidence float64) {
	n := len(prior)
	var store [4]weights
	w, b, u, v := &store[0], &store[1], &store[2], &store[3] // white and black before the step, and with it
	for q := range w {
		w[q], b[q] = 1, 1
	}
	k := t.whole
	i0, i1, i2 := behindBy(k+1), behindBy(k), behindBy(k-1)   // where white comes from
	j0, j1, j2 := behindBy(-k-1), behindBy(-k), behindBy(1-k) // and black
	scale := float32(1)
	product := 1.0
	for i := range n {
		pw, pb := prior[i]*scale, (1-prior[i])*scale
		stayW, stayB := (1-c.toBlack)*pw, (1-c.toWhite)*pb
		w0, w1, w2, bw := stayW*t.beyond, stayW*t.on, stayW*t.behind, c.toWhite*pw
		b0, b1, b2, wb := stayB*t.beyond, stayB*t.on, stayB*t.behind, c.toBlack*pb
		o := (*[phaseBins]float32)(t.rows[i][t.rotation[i]:])
		x0, x1, x2 := at(w, i0), at(w, i1), at(w, i2)
		y0, y1, y2 := at(b, j0), at(b, j1), at(b, j2)
		f := (*weights)(t.forward[i*2*phaseBins:])
		sum := float32(0)
		for q := range phaseBins {
			nw := (w0*x0[q] + w1*x1[q] + w2*x2[q] + bw*b[q]) * o[q]
			nb := (b0*y0[q] + b1*y1[q] + b2*y2[q] + wb*w[q]) * o[q]
			u[q], u[q+phaseBins] = nw, nw
			v[q], v[q+phaseBins] = nb, nb
			f[q], f[q+phaseBins] = nw, nb
			sum += nw + nb
		}
		w, b, u, v = u, v, w, b
		scale = 1 / (sum + 1e-30)
		if product *= float64(sum); product < 1e-200 {
			evidence += math.Log(product + 1e-300)
			product = 1
		}
	}
	return evidence + math.Log(product+1e-300) + t.strength
}

// lift keeps the products of forward and backward weights out of the denormal numbers, with which processors are ten
// times as slow: both are 1 at most, and 1e-20 in a clear picture. As a power of two it leaves every other result as it is.
const lift = 1 << 60

// back is the backward pass and the joint of both.
func (t *trellis) back(white, prior []float32, c chain) {
	n := len(white)
	var w, b, u, v weights // white and black behind the step, and with it
	for q := range w {
		w[q], b[q] = 1, 1
	}
	k := t.whole
	i0, i1, i2 := behindBy(-k-1), behindBy(-k), behindBy(1-k) // where white goes to
	j0, j1, j2 := behindBy(k+1), behindBy(k), behindBy(k-1)   // and black
	scale := float32(1)
	for i := n - 1; i >= 0; i-- {
		f := (*weights)(t.forward[i*2*phaseBins:])
		o := (*[phaseBins]float32)(t.rows[i][t.rotation[i]:])
		pw, pb := prior[i]*scale, (1-prior[i])*scale
		var sw, sb float32
		for q := range phaseBins {
			sw += f[q] * lift * w[q]
			sb += f[q+phaseBins] * lift * b[q]
			nw, nb := w[q]*o[q]*pw, b[q]*o[q]*pb
			u[q], u[q+phaseBins] = nw, nw
			v[q], v[q+phaseBins] = nb, nb
		}
		white[i] = sw / (sw + sb + 1e-30*lift)
		stayW, stayB := 1-c.toBlack, 1-c.toWhite
		w0, w1, w2, wb := stayW*t.beyond, stayW*t.on, stayW*t.behind, c.toBlack
		b0, b1, b2, bw := stayB*t.beyond, stayB*t.on, stayB*t.behind, c.toWhite
		x0, x1, x2 := at(&u, i0), at(&u, i1), at(&u, i2)
		y0, y1, y2 := at(&v, j0), at(&v, j1), at(&v, j2)
		sum := float32(0)
		for q := range phaseBins {
			nw := w0*x0[q] + w1*x1[q] + w2*x2[q] + wb*v[q]
			nb := b0*y0[q] + b1*y1[q] + b2*y2[q] + bw*u[q]
			w[q], w[q+phaseBins] = nw, nw
			b[q], b[q+phaseBins] = nb, nb
			sum += nw + nb
		}
		scale = 1 / (sum + 1e-30)
	}
}

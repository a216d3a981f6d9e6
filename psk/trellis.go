package psk

import (
	"math"
	"math/cmplx"

	"ionoscribe/demod"
)

const (
	phases = 32 // of the carrier that are told apart: 11°
	block  = 16 // symbols that are decided together,
	ahead  = 32 // with so many behind them in view
	window = block + ahead

	// The phase wanders from symbol to symbol: by one step of the phases, which is 1 Hz, with this probability to either side.
	wanders = 0.1

	nearby = 8 // symbols to either side that the level is averaged over: 0.26 s, in which a path of 0.5 Hz keeps its level
)

// trellis finds the probability of each bit by all courses that the carrier's phase may take (forward and backward: Bahl, Cocke, Jelinek
// and Raviv, IEEE Trans. IT-20, 1974). It is coherent as far as the phase allows. Neighbouring pulses overlap, which the likelihoods
// heed after Ungerboeck (IEEE Trans. COM-22, 1974).
type trellis struct {
	symbols [window + 1]complex128 // the first is that before the block
	at      [window + 1]int        // numbers of symbols
	count   int
	noise   float64 // power behind the filter

	forward       [window + 1][phases]float64
	backward      [phases]float64
	before, after [phases]float64
	likely        [window + 1][phases]float64
	same          [window + 1]float64 // likelihood of a phase that goes on over that of one that is reversed, by the overlap
}

// overlap is how much of a symbol's amplitude its neighbour adds: ∫p(t)p(t-T)dt is T/8 for this pulse, ∫p² is 3T/4.
const overlap = 1.0 / 6

// begin forgets everything. The noise is measured with the first window.
func (t *trellis) begin() {
	t.count, t.noise = 0, 0
	for i := range t.forward[0] {
		t.forward[0][i] = 1.0 / phases
	}
}

// take takes a symbol and its number, and says whether the bits of a block are ready.
func (t *trellis) take(y complex128, at int) bool {
	t.symbols[t.count], t.at[t.count] = y, at
	t.count++
	return t.count == window+1
}

// turns are the phases.
var turns = func() (all [phases]complex128) {
	for i := range all {
		all[i] = cmplx.Rect(1, 2*math.Pi*float64(i)/phases)
	}
	return all
}()

// bits gives the log-likelihood ratio for 1 of each bit of a block, and forgets its symbols.
func (t *trellis) bits(out *[block]float64) {
	if t.noise == 0 {
		t.measure()
	}
	t.weigh()
	n := t.count
	for k := 1; k < n; k++ {
		t.move(&t.forward[k], &t.forward[k-1], k)
	}
	for i := range t.backward {
		t.backward[i] = 1
	}
	residual := 0.0
	for k := n - 1; k >= 1; k-- {
		// after: what follows, for each phase of symbol k.
		for i := range t.after {
			t.after[i] = t.backward[i] * t.likely[k][i]
		}
		if k <= block {
			out[k-1] = t.ratio(k)
			residual += t.quadrature(k)
		}
		t.back(k)
	}
	t.noise = max(t.noise+(2*1.1*residual/block-t.noise)*noiseShare, 1e-30)
	// The last symbol of the block begins the next one.
	copy(t.symbols[:], t.symbols[block:n])
	copy(t.at[:], t.at[block:n])
	t.forward[0] = t.forward[block]
	t.count = n - block
}

// noiseShare is that of a block in the noise: of 3 s. The part of the noise across the carrier is half of it, less what the
// phase follows, some 10 %.
const noiseShare = block / (3 * Baud)

// measure finds the noise of the first window, by how the power of a steady amplitude strays.
func (t *trellis) measure() {
	square, fourth := 0.0, 0.0
	for _, y := range t.symbols[:t.count] {
		p := real(y)*real(y) + imag(y)*imag(y)
		square += p
		fourth += p * p
	}
	_, noise := demod.MomentSNR(t.count, square, fourth)
	t.noise = max(noise, 0.02*square/float64(t.count), 1e-30)
}

// weigh makes the likelihoods of the phases.
func (t *trellis) weigh() {
	n := t.count
	for k := range n {
		sum, count := 0.0, 0.0
		for j := max(0, k-nearby); j <= min(n-1, k+nearby); j++ {
			y := t.symbols[j]
			sum += real(y)*real(y) + imag(y)*imag(y)
			count++
		}
		power := max(sum/count-t.noise, t.noise/10)
		power = min(power, 60*t.noise) // what makes errors at 18 dB is not noise
		amplitude := math.Sqrt(power)
		y := t.symbols[k]
		if a := cmplx.Abs(y); a > 3*amplitude+3*math.Sqrt(t.noise) { // a crash
			y *= complex((3*amplitude+3*math.Sqrt(t.noise))/a, 0)
		}
		most := cmplx.Abs(y)
		for i, turn := range turns {
			t.likely[k][i] = math.Exp(2 * amplitude / t.noise * (real(y)*real(turn) + imag(y)*imag(turn) - most))
		}
		t.same[k] = math.Exp(-2 * overlap * power / t.noise)
	}
}

// wander spreads probabilities over neighbouring phases.
func wander(dst, src *[phases]float64) {
	for i := range dst {
		dst[i] = (1-2*wanders)*src[i] + wanders*(src[(i+1)%phases]+src[(i+phases-1)%phases])
	}
}

// move goes on from one symbol to the next.
func (t *trellis) move(dst, src *[phases]float64, k int) {
	wander(&t.before, src)
	sum := 0.0
	for i := range dst {
		dst[i] = (t.same[k]*t.before[i] + t.before[(i+phases/2)%phases]) * t.likely[k][i]
		sum += dst[i]
	}
	for i := range dst {
		dst[i] /= sum + 1e-300
	}
}

// back goes back from symbol k to the one before.
func (t *trellis) back(k int) {
	wander(&t.before, &t.after)
	sum := 0.0
	for i := range t.backward {
		t.backward[i] = t.same[k]*t.before[i] + t.before[(i+phases/2)%phases]
		sum += t.backward[i]
	}
	for i := range t.backward {
		t.backward[i] /= sum + 1e-300
	}
}

// ratio is the log-likelihood ratio for 1 of the bit that ends with symbol k.
func (t *trellis) ratio(k int) float64 {
	wander(&t.before, &t.forward[k-1])
	one, zero := 0.0, 0.0
	for i, a := range t.after {
		one += t.same[k] * t.before[i] * a
		zero += t.before[(i+phases/2)%phases] * a
	}
	return math.Log((one + 1e-300) / (zero + 1e-300))
}

// quadrature is the power of symbol k across the likeliest phase.
func (t *trellis) quadrature(k int) float64 {
	best, most := 0, 0.0
	for i := range t.forward[k] {
		if v := t.forward[k][i] * t.backward[i]; v > most {
			best, most = i, v
		}
	}
	q := imag(t.symbols[k] * cmplx.Conj(turns[best]))
	return q * q
}

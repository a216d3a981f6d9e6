package cw

import (
	"math"
	"slices"

	"ionoscribe/demod"
)

// timing is a sender on the grid.
type timing struct {
	dots, dashes []span // marks
	gaps         []span // within characters
	wide         []span // gaps between characters, then between words
	words        int    // wide[words:] are those between words
	pause        int64  // steps of the shortest pause
	logPause     float32
	logPauseStep float32 // what each step of a pause costs
}

const (
	gridSteps    = 8   // steps in a dot
	longestSteps = 900 // longest length on the grid
	ring         = 1024
	none         = float32(-1e30)
)

const (
	pauseSeconds = 4.0 // mean length of a pause
	pauseShare   = 0.1 // of the gaps between words
)

func (t *timing) set(s *sender, step float64) {
	hand := max(0, min(1, (s.spread[gapLength]-0.05)/0.08)) // strays are human
	t.dots = s.spans(t.dots[:0], dotLength, step, 0, 0.01*hand, 0.5, 1.6)
	t.dashes = s.spans(t.dashes[:0], dashLength, step, 0, 0.01*hand, 0.6, 1.5)
	t.gaps = s.spans(t.gaps[:0], gapLength, step, 0, 0.01*hand, 0.4, 1.7)
	t.wide = s.spans(t.wide[:0], characterLength, step, 0, 0.06*hand, 0.45, 2.1)
	t.words = len(t.wide)
	t.wide = s.spans(t.wide, wordLength, step, 0, 0.1, 0.8, 1.8)
	t.pause = t.wide[len(t.wide)-1].steps + 1
	perStep := step / (pauseSeconds * baseRate)
	t.logPause = float32(math.Log(pauseShare * perStep))
	t.logPauseStep = -float32(perStep)
}

// elements is the most probable row of marks and gaps, whatever characters they make. It knows how strong the signal
// is: each row carries the amplitude of its last marks, and so it follows fading at once.
//
// All metrics are log-likelihoods over that of no signal, so that a gap needs none.
type elements struct {
	timing
	src    *series
	origin float64 // base samples
	step   float64 // base samples
	n      int64   // step of the grid that comes next
	noise  float64 // variance of a base sample
	limit  float32 // noise that is reckoned with beside a signal of power 1
	cell   int64   // steps of the time over which the power of the signal is measured: a dot, or what is like one
	ahead  int64   // steps that must be there beyond the one that is dealt with
	filled int64   // steps whose sums are there

	logDot, logDash, logGap, logCharacter, logWord float32 // prior of the kinds
	inThirds                                       bool    // dots are added up in three parts too, as their phase may wander

	leader            float32         // metric of the best row, which may have fallen silent
	sum               [ring]complex64 // since origin... of the last ring steps
	mark, gap         [ring]float32   // best row that ends a mark, or a gap, here
	markAmp, gapAmp   [ring]float32
	floor             [ring]float32 // noise that is reckoned with: with that of a strong signal, whose edges stray
	power             [ring]float32 // mean power of the cell that ends here, without the noise
	pauseM, pauseAmp  float32
	dotAt, dashAt     []span    // scores of the marks that end at the present step
	trace             []float64 // of the metric, see run
	logWeaker         float32   // of a level half as high as expected
	gain, gainStrong  float32   // how much a mark changes the level, one that is weak and what is added if it is strong
	starts, ends      []int64   // last steps at which a mark may begin, or end, as no row or text is far better
	dotLogP           []float32 // tables of the timing, by steps; none if there is no such length
	dashLogP, gapLogP []float32
	baseSum           complex128

	phase *carriers // nil: the phase says nothing

	// Of a text: the best one that may begin a mark at each step, and what it must reach at least at the present one.
	texts [ring]float32
	least float32
}

func (e *elements) start(src *series, origin, step, noise, amplitude float64) {
	e.src, e.origin, e.step, e.noise, e.n = src, origin, step, noise, 0
	for i := range e.mark {
		e.mark[i], e.gap[i], e.sum[i], e.texts[i] = none, none, 0, none
		e.markAmp[i], e.gapAmp[i], e.floor[i] = float32(amplitude), float32(amplitude), float32(noise)
	}
	e.pauseM, e.pauseAmp = 0, float32(amplitude)
	e.baseSum = src.at(origin)
	e.filled, e.ahead = 0, 2*e.cell
	clear(e.power[:])
	e.leader, e.least = 0, float32(math.Inf(1))
	if e.starts == nil {
		e.starts, e.ends = make([]int64, 0, 2*ring), make([]int64, 0, 2*ring)
		e.dotAt, e.dashAt = make([]span, 0, ring), make([]span, 0, ring)
		e.dotLogP, e.dashLogP, e.gapLogP = make([]float32, 0, ring), make([]float32, 0, ring), make([]float32, 0, ring)
	}
	e.starts, e.ends = e.starts[:0], e.ends[:0]
	e.tabulate()
}

// fill takes the signal up to a step.
func (e *elements) fill(until int64) {
	for ; e.filled <= until; e.filled++ {
		s := e.src.at(e.origin+float64(e.filled)*e.step) - e.baseSum
		i := e.filled & (ring - 1)
		if i == 0 && e.filled > 0 { // keep the sums small: float32
			for k := range e.sum {
				e.sum[k] -= complex64(s)
			}
			e.baseSum += s
			s = 0
		}
		e.sum[i] = complex64(s)
		l := float32(e.cell) * float32(e.step)
		a := abs(complex64(s) - e.sum[(e.filled-e.cell)&(ring-1)])
		e.power[i] = max(0, a*a/(l*l)-float32(e.noise)/l)
	}
}

// ready says whether the signal for another step is there.
func (e *elements) ready() bool { return e.origin+float64(e.n+e.ahead)*e.step <= float64(e.src.end) }

func (e *elements) advance() {
	n, r := e.n, e.n&(ring-1)
	e.fill(n + e.ahead)
	strongest := float32(0) // of what is near
	for i := n - e.cell/2; i <= n+e.ahead; i++ {
		strongest = max(strongest, e.power[i&(ring-1)])
	}
	e.floor[r] = float32(e.noise) + strongest*e.limit
	e.marksAt(n)

	// Gaps that end here.
	best, from := none, int64(-1)
	for i := len(e.ends) - 1; i >= 0; i-- {
		m := e.ends[i]
		d := n - m
		if d >= int64(len(e.gapLogP)) {
			break
		}
		if v := e.mark[m&(ring-1)] + e.gapLogP[d]; v > best {
			best, from = v, m
		}
	}
	e.pauseM += e.logPauseStep
	if v := e.mark[(n-e.pause)&(ring-1)]; v > e.pauseM {
		e.pauseM, e.pauseAmp = v, e.markAmp[(n-e.pause)&(ring-1)]
		if e.phase != nil {
			e.phase.pause, e.phase.pauseAt = e.phase.mark[(n-e.pause)&(ring-1)], n-e.pause
		}
	}
	amp := e.pauseAmp
	if v := e.pauseM + e.logPause + e.logWord; v > best {
		best, from = v, -1
	} else {
		amp = e.markAmp[from&(ring-1)]
	}
	e.gap[r], e.gapAmp[r] = best, amp
	if e.phase != nil {
		e.phase.begin(n, from)
	}
	e.leader = max(e.leader+e.logPauseStep, e.mark[r], e.pauseM)
	if e.mark[r] > e.leader-beam {
		e.ends = remember(e.ends, n)
	}
	if best > e.leader-beamOfGaps {
		e.starts = remember(e.starts, n)
	}
	e.n++
}

// marksAt finds the best mark that ends at step n, and scores all of them.
func (e *elements) marksAt(n int64) {
	r := n & (ring - 1)
	e.dotAt, e.dashAt = e.dotAt[:0], e.dashAt[:0]
	best, length := none, int64(0)
	enough := e.leader + e.logPauseStep - beam
	floor, reach := e.floor[r], int64(0)
	z := e.sum[r] - e.sum[(n-1)&(ring-1)]
	z = complex(real(z)/float32(e.step), imag(z)/float32(e.step))
	for i := len(e.starts) - 1; i >= 0; i-- {
		start := e.starts[i]
		d := n - start
		if d >= int64(len(e.dashLogP)) {
			break
		}
		// The noise to reckon with in a mark is the greatest within it: else it would gain by reaching out into silence.
		for ; reach < d; reach++ {
			floor = max(floor, e.floor[(n-reach-1)&(ring-1)])
		}
		before, text := e.gap[start&(ring-1)], e.texts[start&(ring-1)]
		coherent := e.phase != nil && start >= e.phase.from
		heard := float32(0)
		if coherent {
			heard = e.phase.goOn(start, z, e.floor[r]/float32(e.step))
		}
		if p := e.dotLogP[d]; p > none {
			m := p + heard
			if !coherent {
				m = p + e.score(n, d, floor, e.inThirds, min(max(best, enough)-before-e.logDot, e.least-text)-p)
			}
			if m > none {
				e.dotAt = append(e.dotAt, span{d, m})
			}
			if v := before + m + e.logDot; v > best {
				best, length = v, d
			}
		}
		if p := e.dashLogP[d]; p > none {
			m := p + heard
			if !coherent {
				m = p + e.score(n, d, floor, true, min(max(best, enough)-before-e.logDash, e.least-text)-p)
			}
			if m > none {
				e.dashAt = append(e.dashAt, span{d, m})
			}
			if v := before + m + e.logDash; v > best {
				best, length = v, d
			}
		}
	}
	e.mark[r] = best
	if best > e.leader-beam {
		e.markAmp[r] = e.heard(n, length)
		if e.phase != nil && n-length >= e.phase.from {
			e.phase.mark[r] = e.phase.now[(n-length)&(ring-1)]
		}
	}
}

// set takes the lengths of a sender.
func (e *elements) set(s *sender, step float64) {
	e.timing.set(s, step)
	e.tabulate()
}

// tabulate lists the logarithms of the probabilities of all lengths by their steps.
func (e *elements) tabulate() {
	longest := func(x ...[]span) (n int64) {
		for _, s := range x {
			if k := len(s); k > 0 {
				n = max(n, s[k-1].steps)
			}
		}
		return n
	}
	table := func(dst []float32, n int64) []float32 {
		dst = dst[:0]
		for range n + 1 {
			dst = append(dst, none)
		}
		return dst
	}
	n := longest(e.dots, e.dashes)
	e.dotLogP, e.dashLogP = table(e.dotLogP, n), table(e.dashLogP, n)
	for _, d := range e.dots {
		e.dotLogP[d.steps] = d.logP
	}
	for _, d := range e.dashes {
		e.dashLogP[d.steps] = d.logP
	}
	e.gapLogP = table(e.gapLogP, longest(e.gaps, e.wide))
	for _, g := range e.gaps {
		e.gapLogP[g.steps] = g.logP + e.logGap
	}
	for i, g := range e.wide {
		kind := e.logCharacter
		if i >= e.timing.words {
			kind = e.logWord
		}
		e.gapLogP[g.steps] = max(e.gapLogP[g.steps], g.logP+kind)
	}
}

// remember appends a step to a list of the last ones, and forgets those that are too old for any use.
func remember(list []int64, n int64) []int64 {
	if len(list) == cap(list) {
		old, _ := slices.BinarySearch(list, n-ring+1)
		list = list[:copy(list, list[old:])]
	}
	return append(list, n)
}

// best is the metric of the best row now.
func (e *elements) best() float32 {
	b := e.pauseM
	for i := e.n - 4*gridSteps; i < e.n; i++ {
		b = max(b, e.mark[i&(ring-1)])
	}
	return b
}

// lower subtracts from all metrics, lest they grow without end.
func (e *elements) lower(by float32) {
	for i := range e.mark {
		e.mark[i] -= by
		e.gap[i] -= by
	}
	for i := range e.texts {
		e.texts[i] -= by
	}
	e.pauseM -= by
	e.leader -= by
}

// A weaker signal than expected is thought of too: of a half, a quarter and so on, as far as noise lets it be heard.
const (
	weaker  = 0.5
	weakest = 4 // energy over the noise below which it is not heard
)

// fade is how fast the level is expected to change, from 0, steady, to 1.
func (e *elements) fade(f float32) {
	e.logWeaker = -8 + 6.2*f
	e.gain = 0.05 + 0.1*f
	e.gainStrong = 0.4 * f
}

// score is the log-likelihood of a mark of d steps that ends at step n, in three parts of any phase or with a steady one:
// none if it is not above what is of use. Of an amplitude a it is the sum of ln I0(2a|S|/n) over its parts, S their sums
// and n the noise, less its energy a²L/n, L its length.
func (e *elements) score(n, d int64, noise float32, inThirds bool, useful float32) float32 {
	a, l := e.gapAmp[(n-d)&(ring-1)], float32(d)*float32(e.step)
	s0, s3 := e.sum[(n-d)&(ring-1)], e.sum[n&(ring-1)]
	// As ln I0(x) <= x, it is at most (Σ|S|)²/nL, whatever a is, and that of three parts is at most 3Σ|S|²/nL.
	if !inThirds {
		s := power(s3 - s0)
		if s <= useful*noise*l {
			return none
		}
		return e.weigh(2*a*sqrt(s)/noise, a*a*l/noise)
	}
	s1, s2 := e.sum[(n-d+d/3)&(ring-1)], e.sum[(n-d/3)&(ring-1)]
	p1, p2, p3 := power(s1-s0), power(s2-s1), power(s3-s2)
	if 3*(p1+p2+p3) <= useful*noise*l {
		return none
	}
	x := 2 * a / noise
	return e.weighThirds(x*sqrt(p1), x*sqrt(p2), x*sqrt(p3), a*a*l/noise)
}

// weigh is the score by 2a|S|/n and the energy, of the level that is expected or a weaker one.
func (e *elements) weigh(x, energy float32) float32 {
	best, logP := demod.LogI0(x)-energy, float32(0)
	for {
		x, energy, logP = x*weaker, energy*weaker*weaker, logP+e.logWeaker
		v := demod.LogI0(x) - energy + logP
		if v < best || energy < weakest { // there is one maximum
			return max(best, v)
		}
		best = v
	}
}

// weighThirds is the same of three parts.
func (e *elements) weighThirds(x1, x2, x3, energy float32) float32 {
	best, logP := demod.LogI0(x1)+demod.LogI0(x2)+demod.LogI0(x3)-energy, float32(0)
	for {
		x1, x2, x3, energy, logP = x1*weaker, x2*weaker, x3*weaker, energy*weaker*weaker, logP+e.logWeaker
		v := demod.LogI0(x1) + demod.LogI0(x2) + demod.LogI0(x3) - energy + logP
		if v < best || energy < 3*weakest {
			return max(best, v)
		}
		best = v
	}
}

// heard is the amplitude after a mark. The more clearly it is heard, the more it counts.
func (e *elements) heard(n, d int64) float32 {
	from := n - d
	a, noise := e.gapAmp[from&(ring-1)], e.floor[n&(ring-1)]
	for i := from; i < n; i++ {
		noise = max(noise, e.floor[i&(ring-1)])
	}
	l := float32(d) * float32(e.step)
	s := abs(e.sum[n&(ring-1)] - e.sum[from&(ring-1)])
	p := max(0, s*s/(l*l)-noise/l)
	energy := a * a * l / noise
	gain := e.gain + e.gainStrong*energy/(energy+80)
	ratio := min(max(p/(a*a), 0.1), 6)
	least := float32(e.noise) / (float32(e.step) * gridSteps) // a dot as strong as the noise
	return max(a*float32(math.Pow(float64(ratio), float64(gain/2))), sqrt(least))
}

func abs(z complex64) float32 { return sqrt(real(z)*real(z) + imag(z)*imag(z)) }

func sqrt(x float32) float32 { return float32(math.Sqrt(float64(x))) }

// surprise is the square of the step of the level at a mark, in nats of amplitude, without what noise makes of it.
func (e *elements) surprise(n, d int64) float64 {
	a := float64(e.gapAmp[(n-d)&(ring-1)])
	noise, l := float64(e.floor[n&(ring-1)]), float64(d)*e.step
	s := float64(abs(e.sum[n&(ring-1)] - e.sum[(n-d)&(ring-1)]))
	if a <= 0 {
		return 0
	}
	energy := a * a * l / noise
	r := min(max(math.Log(max(s*s/(l*l)-noise/l, 1e-30)/(a*a))/2, -1), 1)
	return r*r - 1/(2*energy)
}

// middle is the power in the middle third of a mark, which no edge weakens, without the noise.
func (e *elements) middle(n, d int64) float64 {
	first, last := n-d+d/3, n-d/3
	l := float64(last-first) * e.step
	s := float64(abs(e.sum[last&(ring-1)] - e.sum[first&(ring-1)]))
	return max(0, s*s/(l*l)-e.noise/l)
}

// decay is by how much the last third of a mark is weaker than the first, in nats of amplitude.
func (e *elements) decay(n, d int64) float64 {
	first := abs(e.sum[(n-d+d/3)&(ring-1)] - e.sum[(n-d)&(ring-1)])
	last := abs(e.sum[n&(ring-1)] - e.sum[(n-d/3)&(ring-1)])
	return min(max(math.Log(float64((first+1e-20)/(last+1e-20))), -1.5), 1.5)
}

// kinds sets what any text is like (own estimate): as many dots as dashes, six gaps in ten within characters, and one
// of the others in six between words.
func (e *elements) kinds() {
	e.logDot, e.logDash = float32(math.Log(0.5)), float32(math.Log(0.5))
	e.logGap, e.logCharacter, e.logWord = float32(math.Log(0.6)), float32(math.Log(0.4*5/6)), float32(math.Log(0.4/6))
}

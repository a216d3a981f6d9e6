package cw

import (
	"math"
	"slices"
)

// Speeds that are looked for, in words a minute.
const (
	SlowestWPM = 5.0
	FastestWPM = 60.0
)

const (
	speedSteps = 1.13                 // from one speed that is tried to the next; refine tries those between
	bankExcess = 0.03 * baseRate / 15 // edges count as noise of 1/15 of a signal's energy in 30 ms (own choice)
	bankFading = 0.5                  // degree of fading that is expected before anything is known
	bankCell   = 0.025 * baseRate     // base samples over which the power is measured: a dot at 48 words a minute
	bankPause  = 0.02                 // share of gaps that are pauses, for gaps of any length

	// The grid of a speed has so many steps in a dot, and at least one each 14 ms: edges between its points then cost little.
	bankSteps   = 6
	longestStep = 0.014 * baseRate

	// steadySeconds is how long the phase is taken as steady while the pitch is only just found: within a hertz or so, by
	// which it turns by a twelfth of a circle.
	steadySeconds = 0.08

	// traceStep is how often a metric is noted, in base samples.
	traceStep = 0.1 * baseRate
	// lowerEvery steps the metrics are taken down, as they are in single precision.
	lowerEvery = 256

	// Speeds are tried half a step of the bank beyond the limits, the slowest by a quarter of one.
	beside = 1.06
	beyond = 0.97
	below  = 0.94 // beside, for the shortest dot
)

// bank finds the speed of a stretch of signal: for each speed the best row of marks and gaps that a sender of usual
// spread could have made, and for comparison the best one of marks and gaps of any length.
type bank struct {
	speeds []float64 // base samples of a dot
	row    elements
	any    elements
	glance glance
	powers []float64 // work space of amplitude
	tried  []float64 // log-likelihoods of the speeds
	trace  []float64 // of the metric of the last run
	own    []float64 // the same at the speed that is known
	steps  float64   // of the grid, in all runs
}

func newBank() *bank {
	b := new(bank)
	for wpm := SlowestWPM * beyond; wpm < FastestWPM*beside; wpm *= speedSteps {
		b.speeds = append(b.speeds, DotSeconds(wpm)*baseRate)
	}
	b.glance.init(len(b.speeds))
	b.tried = make([]float64, 0, len(b.speeds))
	const most = seriesLength/int(traceStep) + 2
	b.own, b.trace = make([]float64, 0, most), make([]float64, 0, most)
	b.row.kinds = usualKinds()
	b.row.level, b.any.level = newLevel(bankFading), newLevel(bankFading)
	return b
}

// stretch is a signal since a base sample, in noise of a variance.
type stretch struct {
	src          *series
	since, noise float64
}

// dots are limits of the length of a dot in base samples.
type dots struct{ shortest, longest float64 }

func (d dots) allow(dot float64) bool {
	return dot > d.shortest*below && dot < d.longest*beside
}

// evidence is the evidence for a speed.
type evidence struct {
	dot       float64 // base samples
	signal    float64 // log-likelihood ratio against noise
	structure float64 // and against marks and gaps of any length
	amplitude float64
	spread    [lengths]float64
}

// keyed says whether a signal may be keyed at all, at some speed.
func (b *bank) keyed(s stretch) bool { return b.glance.look(s, b.speeds) > 0 }

// find tries the speeds within limits, those that a glance does not make unlikely. The power of a weak signal is found by
// slow marks, of whatever lengths, as well as by those that were sent; but these stand out from speeds a little slower or
// faster, and from marks and gaps of any length.
func (b *bank) find(s stretch, limits dots) evidence {
	amplitude := b.amplitude(s)
	b.glance.look(s, b.speeds)
	likeliest := math.Inf(-1)
	for i, dot := range b.speeds {
		if limits.allow(dot) {
			likeliest = max(likeliest, b.glance.scores[i])
		}
	}
	b.tried = b.tried[:0]
	first := -1
	for i, dot := range b.speeds {
		v := math.Inf(-1)
		seen := amplitude*amplitude*dot > glanceSees*s.noise
		if limits.allow(dot) && (!seen || b.glance.scores[i] >= likeliest-glanceBehind) {
			v = b.try(s, dot, amplitude, usualSpread)
			if first < 0 || v > b.tried[first] {
				first = i
			}
		}
		b.tried = append(b.tried, v)
	}
	if first < 0 {
		return evidence{amplitude: amplitude, signal: math.Inf(-1)}
	}
	e := b.refine(s, amplitude, b.speeds[first], b.tried[first])
	if second := b.standsOut(); second >= 0 && second != first {
		if o := b.refine(s, amplitude, b.speeds[second], b.tried[second]); o.structure > e.structure {
			e = o
		}
	}
	return e
}

// standsOut is the speed whose likelihood exceeds the mean of its neighbours' the most, -1 if none does by enough.
func (b *bank) standsOut() int {
	at, most := -1, leastStructure/2
	for i := 1; i < len(b.tried)-1; i++ {
		if out := b.tried[i] - (b.tried[i-1]+b.tried[i+1])/2; out > most && !math.IsInf(out, 0) {
			at, most = i, out
		}
	}
	return at
}

// Ratios to a speed that refine tries: those up to half a step of the bank away, then finer ones for the narrower lengths of
// a machine.
var (
	coarseRatios = [...]float64{0.94, 0.97, 1.03, 1.06}
	fineRatios   = [...]float64{0.97, 0.985, 1, 1.015, 1.03}
)

// refine finds the evidence for a speed near one that was tried.
func (b *bank) refine(s stretch, amplitude, dot, signal float64) evidence {
	e := evidence{dot: dot, signal: signal, amplitude: amplitude, spread: usualSpread}
	for _, ratio := range coarseRatios {
		if v := b.try(s, dot*ratio, amplitude, usualSpread); v > e.signal {
			e.signal, e.dot = v, dot*ratio
		}
	}
	fine := e.dot
	for _, ratio := range fineRatios {
		if v := b.try(s, fine*ratio, amplitude, machineSpread); v > e.signal {
			e.signal, e.dot, e.spread = v, fine*ratio, machineSpread
		}
	}
	e.structure = e.signal - b.broad(s, e.dot, amplitude)
	return e
}

// try is the log-likelihood of a speed.
func (b *bank) try(s stretch, dot, amplitude float64, spread [lengths]float64) float64 {
	sender := newSender(dot)
	sender.spread = spread
	v := b.trySender(s, &sender, amplitude)
	b.steps += float64(b.row.n)
	return v
}

func (b *bank) trySender(s stretch, sender *sender, amplitude float64) float64 {
	dot := sender.mean[dotLength]
	step := bankStep(dot)
	b.row.set(sender, step)
	b.row.thirds = dot > steadySeconds*baseRate
	return b.run(&b.row, s, step, amplitude)
}

func bankStep(dot float64) float64 { return min(dot/bankSteps, longestStep) }

// run is the log-likelihood of the best row of marks and gaps; it is noted in trace on the way.
func (b *bank) run(e *elements, s stretch, step, amplitude float64) float64 {
	e.grid.excess = bankExcess
	e.grid.cell = max(2, int64(math.Round(bankCell/step)))
	e.start(s.src, s.since, step, s.noise, amplitude)
	sum := 0.0
	b.trace = b.trace[:0]
	for e.ready() {
		for float64(len(b.trace))*traceStep < float64(e.n)*step {
			b.trace = append(b.trace, sum+float64(e.best()))
		}
		if e.n%lowerEvery == lowerEvery-1 {
			by := e.best()
			e.lower(by)
			sum += float64(by)
		}
		e.advance()
	}
	return sum + float64(e.best())
}

// Marks and gaps of any length are as likely in each octave, from shortest to longest: from half a dot at the fastest to
// ten dots at the slowest.
const anyShortest, anyLongest = 0.012, 2.5 // s

// broad is the log-likelihood of marks and gaps of any length, on the grid of a speed.
func (b *bank) broad(s stretch, dot, amplitude float64) float64 {
	const sparse = 40 // from length to length a 40th is enough: each fits its neighbours
	step := bankStep(dot)
	first := max(2, int64(math.Ceil(anyShortest*baseRate/step)))
	last := min(longestSteps, int64(anyLongest*baseRate/step))
	norm := math.Log(math.Log(float64(last) / float64(first)))
	all := b.any.timing.dashes[:0]
	for d := first; d <= last; d += 1 + d/sparse {
		all = append(all, span{d, float32(-math.Log(float64(d)) - norm)})
	}
	b.any.timing.dashes, b.any.timing.wide = all, all
	b.any.timing.setPause(last+1, bankPause, step)
	v := b.run(&b.any, s, step, amplitude)
	b.steps += float64(b.any.n)
	return v
}

// amplitude is a first estimate: of the powers of 25 ms within a second, the upper fifth begins in the middle of those
// with the key down; and of all such seconds the strongest.
func (b *bank) amplitude(s stretch) float64 {
	const cell, within, keyDownQuantile = bankCell, 1 * baseRate, 80
	best := 0.0
	for from := s.since; from+within/2 <= float64(s.src.end); from += within / 2 {
		b.powers = b.powers[:0]
		for t := from; t+cell <= min(from+within, float64(s.src.end)); t += cell / 2 {
			b.powers = append(b.powers, norm(s.src.at(t+cell)-s.src.at(t)))
		}
		slices.Sort(b.powers)
		best = max(best, b.powers[len(b.powers)*keyDownQuantile/100])
	}
	return math.Sqrt(max(best-s.noise*cell, s.noise*cell/4)) / cell // half the amplitude of the noise at least
}

// change is that of a sender's speed.
type change struct {
	at   float64 // base sample
	gain float64 // log-likelihood ratio of a change then against none
}

// changeRatios are those of the lengths of a dot that are tried for another speed: a quarter apart, which find refines.
var changeRatios = [...]float64{1 / 3., 0.42, 0.53, 0.65, 0.8, 1, 1.25, 1.55, 1.9, 2.4, 3}

// A change must have lasted for so long: two characters or so (own choice).
const (
	changeSeconds = 1.0
	changeDots    = 16
)

// compare tells whether from some time on a sender at another speed explains a stretch better than the one that is known.
func (b *bank) compare(s stretch, known *sender, limits dots) (best change) {
	a := b.amplitude(s)
	own := b.trySender(s, known, a)
	b.own = append(b.own[:0], b.trace...)
	shortest := max(changeSeconds*baseRate, changeDots*known.mean[dotLength])
	for _, ratio := range changeRatios {
		dot := known.mean[dotLength] * ratio
		if !limits.allow(dot) {
			continue
		}
		other := b.try(s, dot, a, usualSpread)
		for i := range min(len(b.own), len(b.trace)) {
			if float64(i)*traceStep > float64(s.src.end)-s.since-shortest {
				break
			}
			if gain := other - b.trace[i] - (own - b.own[i]); gain > best.gain {
				best = change{s.since + float64(i)*traceStep, gain}
			}
		}
	}
	return best
}

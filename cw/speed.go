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
	speedSteps = 1.13 // from one hypothesis to the next
	bankSteps  = 6    // grid steps in a dot
	bankEnergy = 15   // energy of 30 ms over the noise that is believed while the speed is not known
)

// bank finds the speed of a stretch of signal: for each speed the best row of marks and gaps that a sender of usual
// spread could have made, and for comparison the best one of marks and gaps of any length.
type bank struct {
	speeds []float64 // base samples of a dot
	any    elements
	row    elements
	powers []float64
	tried  []float64 // log-likelihoods of the speeds
	own    []float64
	glance glance
	steps  float64 // of the grid that were dealt with
}

func newBank() *bank {
	b := new(bank)
	for wpm := SlowestWPM * 0.97; wpm < FastestWPM*1.06; wpm *= speedSteps {
		b.speeds = append(b.speeds, DotSeconds(wpm)*baseRate)
	}
	b.glance.init()
	b.tried = make([]float64, 0, len(b.speeds))
	const most = seriesLength/int(traceStep) + 2
	b.own, b.row.trace, b.any.trace = make([]float64, 0, most), make([]float64, 0, most), make([]float64, 0, most)
	b.row.kinds()
	b.row.fade(0.5)
	b.any.fade(0.5)
	return b
}

// evidence is what speaks for a speed.
type evidence struct {
	dot       float64 // base samples
	signal    float64 // log-likelihood ratio against noise
	structure float64 // and against marks and gaps of any length
	amplitude float64
	spread    [lengths]float64
}

// keyed says whether what is known of a signal may be keyed at all, at some speed.
func (b *bank) keyed(src *series, noise float64) bool {
	return b.glance.look(src, src.first(), noise, b.speeds) > 0
}

// find tries the speeds with a dot from shortest to longest on the signal since a base sample, those that a glance does
// not make unlikely. The power of a weak signal is found by slow marks, of whatever lengths, as well as by those that were
// sent; but these stand out from speeds a little slower or faster, and from marks and gaps of any length.
func (b *bank) find(src *series, since, noise, shortest, longest float64) evidence {
	amplitude := b.amplitude(src, since, noise)
	b.glance.look(src, since, noise, b.speeds)
	allowed := func(dot float64) bool { return dot > shortest*0.94 && dot < longest*1.06 }
	likeliest := math.Inf(-1)
	for i, dot := range b.speeds {
		if allowed(dot) {
			likeliest = max(likeliest, b.glance.scores[i])
		}
	}
	b.tried = b.tried[:0]
	first := -1
	for i, dot := range b.speeds {
		v := math.Inf(-1)
		seen := amplitude*amplitude*dot > glanceSees*noise
		if allowed(dot) && (!seen || b.glance.scores[i] >= likeliest-glanceBehind) {
			v = b.try(src, since, noise, dot, amplitude, usualSpread)
			if first < 0 || v > b.tried[first] {
				first = i
			}
		}
		b.tried = append(b.tried, v)
	}
	if first < 0 {
		return evidence{amplitude: amplitude, signal: math.Inf(-1)}
	}
	e := b.refine(src, since, noise, amplitude, b.speeds[first], b.tried[first])
	second, most := -1, leastStructure/2
	for i := 1; i < len(b.tried)-1; i++ {
		if out := b.tried[i] - (b.tried[i-1]+b.tried[i+1])/2; out > most && !math.IsInf(out, 0) {
			second, most = i, out
		}
	}
	if second >= 0 && second != first {
		if o := b.refine(src, since, noise, amplitude, b.speeds[second], b.tried[second]); o.structure > e.structure {
			e = o
		}
	}
	return e
}

// refine finds the evidence for a speed near one that was tried.
func (b *bank) refine(src *series, since, noise, amplitude, dot, signal float64) evidence {
	e := evidence{dot: dot, signal: signal, amplitude: amplitude, spread: usualSpread}
	for _, ratio := range []float64{0.94, 0.97, 1.03, 1.06} {
		if v := b.try(src, since, noise, dot*ratio, amplitude, usualSpread); v > e.signal {
			e.signal, e.dot = v, dot*ratio
		}
	}
	fine := e.dot
	for _, ratio := range []float64{0.97, 0.985, 1, 1.015, 1.03} {
		if v := b.try(src, since, noise, fine*ratio, amplitude, machineSpread); v > e.signal {
			e.signal, e.dot, e.spread = v, fine*ratio, machineSpread
		}
	}
	e.structure = e.signal - b.broad(src, since, noise, e.dot, amplitude)
	return e
}

func (b *bank) try(src *series, since, noise, dot, amplitude float64, spread [lengths]float64) float64 {
	s := newSender(dot)
	s.spread = spread
	step := bankStep(dot)
	b.row.set(&s, step)
	b.row.inThirds = dot > steadySeconds*baseRate
	v := b.row.run(src, since, step, noise, amplitude)
	b.steps += float64(b.row.n)
	return v
}

// traceStep is how often the metric is noted, in base samples.
const traceStep = 0.1 * baseRate

// steadySeconds is how long the phase is taken as steady while the pitch is only just found.
const steadySeconds = 0.08

// bankStep is the grid of a speed: fine enough that edges which fall between its points cost little.
func bankStep(dot float64) float64 { return min(dot/bankSteps, 0.014*baseRate) }

func (e *elements) run(src *series, since, step, noise, amplitude float64) float64 {
	e.limit = 0.03 * baseRate / bankEnergy
	e.cell = max(2, int64(math.Round(0.025*baseRate/step)))
	e.start(src, since, step, noise, amplitude)
	sum := 0.0
	e.trace = e.trace[:0]
	for e.ready() {
		for float64(len(e.trace))*traceStep < float64(e.n)*step {
			e.trace = append(e.trace, sum+float64(e.best()))
		}
		if e.n&255 == 255 {
			by := e.best()
			e.lower(by)
			sum += float64(by)
		}
		e.advance()
	}
	return sum + float64(e.best())
}

// Marks and gaps of any length are as likely in each octave, from shortest to longest.
const anyShortest, anyLongest = 0.012, 2.5 // s

func (b *bank) broad(src *series, since, noise, dot, amplitude float64) float64 {
	step := bankStep(dot)
	first := max(2, int64(math.Ceil(anyShortest*baseRate/step)))
	last := min(longestSteps, int64(anyLongest*baseRate/step))
	norm := math.Log(math.Log(float64(last) / float64(first)))
	all := b.any.dashes[:0]
	for d := first; d <= last; d += 1 + d/40 {
		all = append(all, span{d, float32(-math.Log(float64(d)) - norm)})
	}
	b.any.dashes, b.any.wide = all, all
	b.any.pause = last + 1
	perStep := step / (pauseSeconds * baseRate)
	b.any.logPause = float32(math.Log(0.02 * perStep))
	b.any.logPauseStep = -float32(perStep)
	v := b.any.run(src, since, step, noise, amplitude)
	b.steps += float64(b.any.n)
	return v
}

// amplitude is a first estimate: of the powers of 25 ms, within two seconds, the upper fifth begins in the middle of
// those with the key down; and of all such stretches the strongest.
func (b *bank) amplitude(src *series, since, noise float64) float64 {
	const l, within = 0.025 * baseRate, 1 * baseRate
	best := 0.0
	for from := since; from+within/2 <= float64(src.end); from += within / 2 {
		b.powers = b.powers[:0]
		for t := from; t+l <= min(from+within, float64(src.end)); t += l / 2 {
			b.powers = append(b.powers, norm(src.at(t+l)-src.at(t)))
		}
		slices.Sort(b.powers)
		best = max(best, b.powers[len(b.powers)*4/5])
	}
	return math.Sqrt(max(best-noise*l, noise*l/4)) / l
}

// change is that of a sender's speed.
type change struct {
	at   float64 // base sample
	gain float64 // log-likelihood ratio of a change then against none
}

// compare tells whether from some time on since a base sample a sender at another speed explains the signal better
// than the one that is known.
func (b *bank) compare(src *series, since, noise float64, known *sender, shortest, longest float64) (best change) {
	a := b.amplitude(src, since, noise)
	step := bankStep(known.mean[dotLength])
	b.row.set(known, step)
	b.row.inThirds = known.mean[dotLength] > steadySeconds*baseRate
	own := b.row.run(src, since, step, noise, a)
	b.own = append(b.own[:0], b.row.trace...)
	for _, ratio := range [...]float64{1 / 3., 0.42, 0.53, 0.65, 0.8, 1, 1.25, 1.55, 1.9, 2.4, 3} {
		dot := known.mean[dotLength] * ratio
		if dot < shortest*0.94 || dot > longest*1.06 {
			continue
		}
		other := b.try(src, since, noise, dot, a, usualSpread)
		for i := range min(len(b.own), len(b.row.trace)) {
			if float64(i)*traceStep > float64(src.end)-since-max(changeSeconds*baseRate, changeDots*known.mean[dotLength]) {
				break
			}
			if gain := other - b.row.trace[i] - (own - b.own[i]); gain > best.gain {
				best = change{since + float64(i)*traceStep, gain}
			}
		}
	}
	return best
}

// A change must have lasted for so long.
const (
	changeSeconds = 1.0
	changeDots    = 16
)

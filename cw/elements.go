package cw

import (
	"math"
	"slices"
)

// elements finds the most probable row of marks and gaps, whatever characters they make. Each row carries the amplitude of
// its last marks, and so follows fading at once.
//
// Metrics are log-likelihoods over that of no signal, so that a gap needs none.
type elements struct {
	grid    grid
	timing  timing
	kinds   kindPriors
	table   lengthTable
	level   level
	thirds  bool      // dots too are summed in thirds, as their phase may wander
	carrier *carriers // nil: the phase says nothing

	n             int64 // the step that comes next
	rows          rows
	live          live
	texts         wanted
	dotAt, dashAt []span // scores of the marks that end at the present step
}

// rows are the best rows of marks and gaps by the step where they end, in rings, and the best one that has paused.
type rows struct {
	mark, gap       [ring]float32 // metrics
	markAmp, gapAmp [ring]float32 // amplitudes
	pause, pauseAmp float32
}

// live are the steps that are worth going on from, as no row or text is far better.
type live struct {
	leader       float32 // metric of the best row, which may have fallen silent
	starts, ends []int64 // steps at which a mark may begin, and end, in order
}

// wanted is what a text, if there is any, can use.
type wanted struct {
	best  [ring]float32 // metric of the best text that may begin a mark at each step
	least float32       // what a text must reach by a mark that ends at the present step
}

func (e *elements) start(src *series, origin, step, noise, amplitude float64) {
	e.grid.start(src, origin, step, noise)
	e.n = 0
	for i := range e.rows.mark {
		e.rows.mark[i], e.rows.gap[i], e.texts.best[i] = none, none, none
		e.rows.markAmp[i], e.rows.gapAmp[i] = float32(amplitude), float32(amplitude)
	}
	e.rows.pause, e.rows.pauseAmp = 0, float32(amplitude)
	e.live.leader, e.texts.least = 0, float32(math.Inf(1))
	if e.live.starts == nil {
		e.live.starts, e.live.ends = make([]int64, 0, 2*ring), make([]int64, 0, 2*ring)
		e.dotAt, e.dashAt = make([]span, 0, ring), make([]span, 0, ring)
		e.table = newLengthTable()
	}
	e.live.starts, e.live.ends = e.live.starts[:0], e.live.ends[:0]
	e.table.set(&e.timing, &e.kinds)
}

// set takes the lengths of a sender.
func (e *elements) set(s *sender, step float64) {
	e.timing.set(s, step)
	e.table.set(&e.timing, &e.kinds)
}

// ready says whether the signal for another step is there.
func (e *elements) ready() bool { return e.grid.ready(e.n) }

// advance takes the next step.
func (e *elements) advance() {
	n := e.n
	e.grid.fill(n)
	e.endMark(n)
	best, from := e.endGap(n)
	if e.carrier != nil {
		e.carrier.begin(n, from)
	}
	e.live.leader = max(e.live.leader+e.timing.logPauseStep, e.rows.mark[n&(ring-1)], e.rows.pause)
	if e.rows.mark[n&(ring-1)] > e.live.leader-beam {
		e.live.ends = remember(e.live.ends, n)
	}
	if best > e.live.leader-beamOfGaps {
		e.live.starts = remember(e.live.starts, n)
	}
	e.n++
}

// endGap finds the best gap that ends at step n and the step where it began, -1 of a pause.
func (e *elements) endGap(n int64) (best float32, from int64) {
	best, from = none, -1
	for i := len(e.live.ends) - 1; i >= 0; i-- {
		m := e.live.ends[i]
		d := n - m
		if d >= int64(len(e.table.gap)) {
			break
		}
		if v := e.rows.mark[m&(ring-1)] + e.table.gap[d]; v > best {
			best, from = v, m
		}
	}
	paused := n - e.timing.pause
	e.rows.pause += e.timing.logPauseStep
	if v := e.rows.mark[paused&(ring-1)]; v > e.rows.pause {
		e.rows.pause, e.rows.pauseAmp = v, e.rows.markAmp[paused&(ring-1)]
		if e.carrier != nil {
			e.carrier.startPause(paused)
		}
	}
	amp := e.rows.pauseAmp
	if v := e.rows.pause + e.timing.logPause + e.kinds.word; v > best {
		best, from = v, -1
	} else {
		amp = e.rows.markAmp[from&(ring-1)]
	}
	e.rows.gap[n&(ring-1)], e.rows.gapAmp[n&(ring-1)] = best, amp
	return best, from
}

// endMark finds the best mark that ends at step n, and scores all of them.
func (e *elements) endMark(n int64) {
	r := n & (ring - 1)
	e.dotAt, e.dashAt = e.dotAt[:0], e.dashAt[:0]
	best, length := none, int64(0)
	useful := e.live.leader + e.timing.logPauseStep - beam
	floor, reach := e.grid.floor[r], int64(0)
	z := e.grid.mean(n)
	for i := len(e.live.starts) - 1; i >= 0; i-- {
		start := e.live.starts[i]
		d := n - start
		if d >= int64(len(e.table.dash)) {
			break
		}
		// The noise of a mark is the greatest within it: else it would gain by reaching out into silence.
		for ; reach < d; reach++ {
			floor = max(floor, e.grid.floor[(n-reach-1)&(ring-1)])
		}
		before, text := e.rows.gap[start&(ring-1)], e.texts.best[start&(ring-1)]
		coherent := e.carrier != nil && start >= e.carrier.from
		heard := float32(0)
		if coherent {
			heard = e.carrier.goOn(start, z, e.grid.floor[r]/float32(e.grid.step))
		}
		if p := e.table.dot[d]; p > none {
			m := p + heard
			if !coherent {
				m = p + e.score(n, d, floor, e.thirds, min(max(best, useful)-before-e.kinds.dot, e.texts.least-text)-p)
			}
			if m > none {
				e.dotAt = append(e.dotAt, span{d, m})
			}
			if v := before + m + e.kinds.dot; v > best {
				best, length = v, d
			}
		}
		if p := e.table.dash[d]; p > none {
			m := p + heard
			if !coherent {
				m = p + e.score(n, d, floor, true, min(max(best, useful)-before-e.kinds.dash, e.texts.least-text)-p)
			}
			if m > none {
				e.dashAt = append(e.dashAt, span{d, m})
			}
			if v := before + m + e.kinds.dash; v > best {
				best, length = v, d
			}
		}
	}
	e.rows.mark[r] = best
	if best > e.live.leader-beam {
		e.rows.markAmp[r] = e.levelAfter(n, length)
		if e.carrier != nil {
			e.carrier.endMark(n-length, n)
		}
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
	const near = 4 * gridSteps // a row in which a mark has ended within four dots, or else has paused
	b := e.rows.pause
	for i := e.n - near; i < e.n; i++ {
		b = max(b, e.rows.mark[i&(ring-1)])
	}
	return b
}

// lower subtracts from all metrics, which would grow without end.
func (e *elements) lower(by float32) {
	for i := range e.rows.mark {
		e.rows.mark[i] -= by
		e.rows.gap[i] -= by
	}
	for i := range e.texts.best {
		e.texts.best[i] -= by
	}
	e.rows.pause -= by
	e.live.leader -= by
}

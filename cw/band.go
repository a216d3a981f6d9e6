package cw

import "math"

// band finds the signals and gives each a track.
type band struct {
	*common
	spare []*track
	busy  bool // more would have been tried, if there had been place or credit
}

const (
	seekHops     = 8    // between looks at the spectrum: half a second
	firstSeconds = 1.5  // before the first look,
	shortSeconds = 0.5  // or at the end of what is shorter
	candidates   = 4    // tracks while one signal is wanted
	orderedHz    = 30.0 // from an ordered pitch that a signal may be
	sureHz       = 12.0 // from the spectrum's pitch that the channel's may be, to be better: a line and a half
)

func newBand(c *common) *band { return &band{common: c} }

func (b *band) reset() {
	b.spare = append(b.spare, b.tracks...)
	b.busy = false
	b.common.reset()
}

// add takes a hop.
func (b *band) add(z []complex64) {
	b.recent.add(z)
	b.spectrum.add(z)
	for _, t := range b.tracks {
		t.add(z)
	}
	if end := b.recent.end; end/hop%seekHops == 0 && float64(end) >= firstSeconds*bandRate {
		b.seek()
	}
}

func (b *band) flush() {
	if float64(b.recent.end) >= shortSeconds*bandRate {
		b.seek()
	}
	for _, t := range b.tracks {
		t.flush()
	}
	b.reset()
}

// full says whether there are as many tracks as may be.
func (b *band) full() bool {
	if b.config.Signals <= 1 {
		return len(b.tracks) >= candidates
	}
	return len(b.tracks) >= b.config.Signals
}

// seek looks for new signals, and drops lost ones.
func (b *band) seek() {
	lowest, highest := -passHz, passHz
	if p := b.config.PitchHz; p != 0 {
		lowest, highest = p-centreHz-orderedHz, p-centreHz+orderedHz
	}
	b.budget.refill(seekHops * hopSeconds)
	peaks := b.spectrum.find(lowest, highest)
	b.drop()
	for _, p := range peaks {
		if b.full() {
			break
		}
		if b.known(p.hz) {
			continue
		}
		if !b.budget.left() {
			b.busy = true
			break
		}
		b.open(p)
	}
	b.lock()
}

// drop looks after the tracks, and drops those that are lost or no Morse; where others wait, also those whose speed has not
// been found for long.
func (b *band) drop() {
	wanted := b.full() || b.busy
	b.busy = false
	kept := b.tracks[:0]
	for _, t := range b.tracks {
		hz := t.tuned.channel.hz
		late := wanted && !t.locked && b.recent.end-t.times.opened > rejectSeconds*bandRate
		refused := late || !t.locked && b.rejected.has(hz, b.recent.end)
		if late {
			b.rejected.add(hz, nearHz, b.recent.end)
		}
		if !refused && t.look() {
			kept = append(kept, t)
			continue
		}
		if t.hopeless {
			b.rejected.add(t.tuned.channel.hz, nearHz, b.recent.end)
			if t.locked && !t.probation.passed {
				b.budget.credit -= t.tries.cost // it was free when it was locked
			}
		}
		if t == b.chosen {
			b.chosen = nil
		}
		b.spare = append(b.spare, t)
	}
	b.tracks = kept
}

// lock looks for the speeds of signals whose time has come, that which has waited longest first, while there is credit.
// One that waits alone takes the place of none.
func (b *band) lock() {
	for {
		var next *track
		waiting := 0
		for _, t := range b.tracks {
			if t.locked || t.hopeless || t.times.nextLook > b.recent.end {
				continue
			}
			waiting++
			if next == nil || t.times.nextLook < next.times.nextLook {
				next = t
			}
		}
		if next == nil {
			return
		}
		if !b.budget.left() {
			b.busy = b.busy || waiting > 1
			return
		}
		next.lock()
	}
}

// known says whether a pitch has a track or is rejected.
func (b *band) known(hz float64) bool {
	for _, t := range b.tracks {
		if math.Abs(t.tuned.channel.hz-hz) < nearHz {
			return true
		}
	}
	return b.rejected.has(hz, b.recent.end)
}

// open begins a track with what is remembered, twice: the first time to measure the pitch better than the spectrum does.
func (b *band) open(p peak) {
	var t *track
	if n := len(b.spare); n > 0 {
		t, b.spare = b.spare[n-1], b.spare[:n-1]
	} else {
		t = newTrack(b.common)
	}
	t.reset(p.hz, b.spectrum.noiseAt(p.hz))
	t.retune(p.hz, b.recent.first())
	if hz := t.tuned.channel.hz; math.Abs(hz-p.hz) < sureHz {
		t.retune(hz, t.tuned.origin)
	}
	b.tracks = append(b.tracks, t)
	t.look()
}

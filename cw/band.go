package cw

import (
	"math"

	"ionoscribe/demod/narrow"
)

// band finds the signals in the band and opens a track for each.
type band struct {
	*common
	spare []*track
	busy  bool // signals wait for a free track or for budget
}

const (
	seekHops     = 8    // between looks at the spectrum: half a second
	firstSeconds = 1.5  // heard before the first look,
	shortSeconds = 0.5  // or, of a recording that is shorter, before the look at its end
	candidates   = 4    // tracks while one signal is wanted
	orderedHz    = 30.0 // between an ordered pitch and the signal, at most
	sureHz       = 12.0 // between the pitch by the spectrum and that by the channel, at most: one and a half lines
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
	b.spectrum.Add(z)
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

// full says whether no further track may be opened.
func (b *band) full() bool {
	if b.config.single() {
		return len(b.tracks) >= candidates
	}
	return len(b.tracks) >= b.config.Signals
}

// seek drops lost signals and opens tracks for new ones.
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
		if b.known(p.Hz) {
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

// drop drops the tracks of signals that are lost or no Morse. While others wait, it also drops those whose speed has not been
// found for rejectSeconds.
func (b *band) drop() {
	wanted := b.full() || b.busy
	b.busy = false
	kept := b.tracks[:0]
	for _, t := range b.tracks {
		hz := t.search.tuned.channel.hz
		late := wanted && !t.locked && b.recent.end-t.opened > rejectSeconds*bandRate
		refused := late || !t.locked && b.rejected.has(hz, b.recent.end)
		if late {
			b.rejected.add(hz, nearHz, b.recent.end)
		}
		if !refused && t.look() {
			kept = append(kept, t)
			continue
		}
		if t.hopeless {
			b.rejected.add(t.search.tuned.channel.hz, nearHz, b.recent.end)
			if t.locked && !t.probation.passed {
				b.budget.credit -= t.search.cost // which was refunded when its speed was found
			}
		}
		if t == b.chosen {
			b.chosen = nil
		}
		b.spare = append(b.spare, t)
	}
	b.tracks = kept
}

// lock looks for the speeds of signals that are due, the one that has waited longest first, until the budget is spent. A
// single waiting signal does not make the band busy.
func (b *band) lock() {
	for {
		var next *track
		waiting := 0
		for _, t := range b.tracks {
			if t.locked || t.hopeless || t.search.nextLook > b.recent.end {
				continue
			}
			waiting++
			if next == nil || t.search.nextLook < next.search.nextLook {
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
		if math.Abs(t.search.tuned.channel.hz-hz) < nearHz {
			return true
		}
	}
	return b.rejected.has(hz, b.recent.end)
}

// open opens a track and replays the recent samples to it. It does so twice: the first time to measure the pitch more
// precisely than the spectrum does.
func (b *band) open(p narrow.Peak) {
	var t *track
	if n := len(b.spare); n > 0 {
		t, b.spare = b.spare[n-1], b.spare[:n-1]
	} else {
		t = newTrack(b.common)
	}
	t.reset(p.Hz, b.spectrum.Noise(p.Hz))
	t.search.retune(p.Hz, b.recent.first())
	if hz := t.search.tuned.channel.hz; math.Abs(hz-p.Hz) < sureHz {
		t.search.retune(hz, t.search.tuned.origin)
	}
	b.tracks = append(b.tracks, t)
	t.look()
}

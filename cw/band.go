package cw

import (
	"math"
	"slices"
)

// band finds the signals and gives each a track.
type band struct {
	config     Config
	decoder    *Decoder
	history    []complex64 // a ring
	end        int64       // samples so far
	spectrum   *spectrum
	tracks     []*track
	spare      []*track
	bank       *bank
	correlated correlatedTones
	posterior  *posterior
	number     int    // of the last signal
	chosen     *track // the one that is printed if only one is
	rejected   [64]rejection
	rejections int
	credit     float64 // steps of the bank that may be spent in vain
	spent      float64 // in all
	limit      float64 // of what is spent in vain; 0: none but the credit that comes in
	busy       bool    // more would have been
}

const (
	historyLength = 1 << 16 // 16 s
	historyHops   = historyLength/hop - 4
	seekHops      = 8   // between looks at the spectrum
	firstSeconds  = 1.5 // before the first look
	leastPeak     = 2.0 // power of a signal over the noise: of the means some 130 independent ones... spread 0.13
	nearHz        = 25.0
	rejectSeconds = 18 // after which a signal whose code was not recognized makes place for another
	candidates    = 4  // tracks while one signal is wanted

	// What is no Morse may take so many steps of the bank a second in the mean, of a microsecond or so each: some 1/200 of
	// real time. What turns out to be Morse is free, as it happens once a signal. A signal of -13 dB is found by trying it
	// time and again (grade cw --snr=-13).
	creditSecond = 5e3
	mostCredit   = 300e3 // in one go,
	signalCredit = 5e3   // and so many for each signal that is wanted, as all may begin at once
	hopSteps     = 13.0  // steps that take as long as a channel's hop (BenchmarkInputs, music)
)

func newBand(c Config, d *Decoder) *band {
	return &band{credit: fullCredit(c), config: c, decoder: d, history: make([]complex64, historyLength), spectrum: newSpectrum(), bank: newBank(), posterior: &posterior{begun: make([]int64, 0, window)}}
}

func (b *band) reset() {
	b.spare = append(b.spare, b.tracks...)
	b.tracks = b.tracks[:0]
	b.end, b.chosen, b.number = 0, nil, 0
	b.credit, b.busy = b.fullCredit(), false
	b.rejected, b.rejections = [64]rejection{}, 0
	b.spectrum.reset()
}

// add takes a hop.
func (b *band) add(z []complex64) {
	copy(b.history[b.end&(historyLength-1):], z)
	b.end += hop
	b.spectrum.add(z)
	for _, t := range b.tracks {
		t.add(z)
	}
	hops := b.end / hop
	if hops%seekHops == 0 && float64(b.end) >= firstSeconds*bandRate {
		b.seek()
	}
}

func (b *band) flush() {
	if float64(b.end) >= 0.5*bandRate {
		b.seek()
	}
	for _, t := range b.tracks {
		t.flush()
	}
	b.reset()
}

func (b *band) most() int {
	if b.config.Signals <= 1 {
		return candidates
	}
	return b.config.Signals
}

// seek looks for new signals, and drops lost ones.
func (b *band) seek() {
	lowest, highest := -passHz, passHz
	if p := b.config.PitchHz; p != 0 {
		lowest, highest = p-centreHz-30, p-centreHz+30
	}
	if b.limit == 0 {
		b.credit = min(b.credit+creditSecond*seekHops*hopSeconds, fullCredit(b.config))
	}
	peaks := b.spectrum.find(lowest, highest, leastPeak)
	kept := b.tracks[:0]
	full := len(b.tracks) >= b.most() || b.busy
	b.busy = false
	for _, t := range b.tracks {
		no := !t.locked && b.isRejected(t.channel.hz)
		if full && !t.locked && b.end-t.opened > rejectSeconds*bandRate {
			no = true
			b.reject(t.channel.hz)
		}
		if !no && t.look(b.spectrum) {
			kept = append(kept, t)
			continue
		}
		if t.hopeless {
			b.reject(t.channel.hz)
			if t.locked && !t.passed {
				b.credit -= t.cost // it was free when it was locked
			}
		}
		if t == b.chosen {
			b.chosen = nil
		}
		b.spare = append(b.spare, t)
	}
	b.tracks = kept
	for _, p := range peaks {
		if len(b.tracks) >= b.most() {
			break
		}
		if b.known(p.hz) {
			continue
		}
		if b.credit < 0 {
			b.busy = true
			break
		}
		b.open(p)
	}
	b.lock()
}

func fullCredit(c Config) float64 { return mostCredit + signalCredit*float64(c.Signals) }

func (b *band) fullCredit() float64 {
	if b.limit != 0 {
		return b.limit
	}
	return fullCredit(b.config)
}

// spend notes the cost of a track, in steps of the bank.
func (b *band) spend(t *track, steps float64) {
	t.cost += steps
	b.credit -= steps
	b.spent += steps
}

// lock looks for the speeds of signals whose time has come, that which has waited longest first, while there is credit.
// One that waits alone takes the place of none.
func (b *band) lock() {
	for {
		var next *track
		waiting := 0
		for _, t := range b.tracks {
			if t.locked || t.hopeless || t.nextLook > b.end {
				continue
			}
			waiting++
			if next == nil || t.nextLook < next.nextLook {
				next = t
			}
		}
		if next == nil {
			return
		}
		if b.credit < 0 {
			b.busy = b.busy || waiting > 1
			return
		}
		next.lock()
	}
}

func (b *band) known(hz float64) bool {
	for _, t := range b.tracks {
		if math.Abs(t.channel.hz-hz) < nearHz {
			return true
		}
	}
	return b.isRejected(hz)
}

func (b *band) isRejected(hz float64) bool {
	for _, r := range b.rejected {
		if r.until > b.end && math.Abs(r.hz-hz) < r.reach {
			return true
		}
	}
	return false
}

// rejecting is how many pitches are rejected now.
func (b *band) rejecting() (n int) {
	for i, r := range b.rejected {
		if r.until > b.end && !slices.ContainsFunc(b.rejected[:i], func(o rejection) bool {
			return o.until > b.end && math.Abs(o.hz-r.hz) < nearHz
		}) {
			n++
		}
	}
	return n
}

// rejection keeps what is no Morse from taking the place of what may be.
type rejection struct {
	hz, reach float64
	until     int64
}

func (b *band) reject(hz float64) { b.rejectAround(hz, nearHz) }

func (b *band) rejectAround(hz, reach float64) {
	b.rejected[b.rejections%len(b.rejected)] = rejection{hz, reach, b.end + 2*rejectSeconds*bandRate}
	b.rejections++
}

// open begins a track with what is remembered.
func (b *band) open(p peak) {
	var t *track
	if n := len(b.spare); n > 0 {
		t, b.spare = b.spare[n-1], b.spare[:n-1]
	} else {
		t = newTrack(b)
	}
	t.reset(p.hz, b.end, b.spectrum.noiseAt(p.hz))
	// Twice: the first time to measure the pitch better than the spectrum does.
	t.cost = 0
	b.replay(t, p.hz, b.end-min(b.end/hop, historyHops)*hop)
	if hz := t.channel.hz; math.Abs(hz-p.hz) < 12 {
		b.replay(t, hz, t.origin)
	}
	b.tracks = append(b.tracks, t)
	t.look(b.spectrum)
}

// replay gives a track, tuned to a pitch, what is remembered since a sample of the band.
func (b *band) replay(t *track, hz float64, since int64) {
	since = max(since, b.end-historyHops*hop)
	t.tune(hz, since)
	b.spend(t, float64((b.end-since)/hop)*hopSteps)
	for at := since; at < b.end; at += hop {
		i := at & (historyLength - 1)
		t.channel.add(b.history[i : i+hop])
	}
}

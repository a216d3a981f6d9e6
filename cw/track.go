package cw

import "math"

// track follows one signal from its first peak in the spectrum until it is lost: it looks for its speed, has it copied, and
// judges whether it is Morse (print.go).
type track struct {
	*common
	search    search
	copier    *copier
	probation probation
	report    report
	locked    bool  // its speed is known
	hopeless  bool  // it is no Morse
	opened    int64 // band sample
	heard     int64 // band sample when the signal was last there
	compared  int64 // band sample when it was last compared with other tones
}

const (
	quietLost  = 3.0 // seconds of silence after which a signal without a speed is lost,
	quietKept  = 15.0
	stillThere = 0.8 * leastPeak // power over the noise

	compareSeconds     = 4  // between looks at other tones,
	compareKnown       = 24 // and from so many seconds on,
	compareLongSeconds = 12 // so many: 16 s are remembered

	longWatchSeconds = 40   // after which the speed is looked for again although the text fits,
	sureWatchSeconds = 160  // or after this if the text is beyond doubt
	beyondDoubt      = 0.95 // mean confidence of such a text,
	leastTrust       = 0.6  // and below which a text does not fit (own choice)
	fittingMisfit    = 2.2  // of lengths that fit well enough: 1 if they are as expected (own choice)
	greatestMisfit   = 2.8  // of what may be text (own choice)
	mostMisses       = 3    // comparisons in a row that find no speed for lengths which do not fit
)

func newTrack(c *common) *track {
	t := &track{common: c, search: search{common: c}}
	t.copier = newCopier(&t.search.tuned.channel.out, c.posterior, c.config.PlainLanguage)
	return t
}

// reset begins with another signal.
func (t *track) reset(hz float64, noise float64) {
	now := t.recent.end
	t.search.reset(hz)
	t.probation.reset()
	t.copier.reset()
	t.copier.setNoise(noise)
	t.locked, t.hopeless = false, false
	t.opened, t.heard = now, now
	t.report = report{output: &t.output}
}

// add takes a hop of the band.
func (t *track) add(z []complex64) {
	t.search.tuned.channel.add(z)
	t.run()
}

// run copies up to the present.
func (t *track) run() {
	for t.locked {
		if t.copier.beginning.again {
			t.copier.restart()
			t.search.watchLater()
		}
		if !t.copier.next() {
			return
		}
		if until, due := t.copier.due(); due {
			t.decide(until)
		}
	}
}

// decide prints what ended before a step of the grid.
func (t *track) decide(until int64) {
	found := t.copier.decide(until)
	for i := len(found) - 1; i >= 0; i-- {
		if found[i].start > t.copier.done && t.locked && !t.copier.beginning.again {
			t.print(t.copier.copy(found[i]))
		}
	}
}

// look is called twice a second; false: the signal is lost.
func (t *track) look() bool {
	now, hz := t.recent.end, t.search.tuned.channel.hz
	t.copier.setNoise(t.spectrum.Noise(hz))
	if t.spectrum.Ratio(hz) > stillThere {
		t.heard = now
	}
	quiet := t.recent.ago(t.heard)
	t.hopeless = t.hopeless || !t.probation.passed && t.rejected.has(hz, now)
	if t.locked && !t.hopeless && t.compareDue() {
		t.compared = now
		t.hopeless = t.noMorse()
	}
	if t.hopeless {
		t.lose()
		return false
	}
	if !t.locked {
		return quiet <= quietLost
	}
	t.copier.trellis.elements.grid.noise = t.copier.noise
	if now >= t.search.nextLook {
		t.watch()
	}
	if quiet > quietKept {
		t.lose()
		return false
	}
	return true
}

func (t *track) compareDue() bool {
	every := compareSeconds
	if t.recent.ago(t.opened) > compareKnown {
		every = compareLongSeconds
	}
	return t.recent.end-t.compared > int64(every*bandRate)
}

// lock tries to find the speed.
func (t *track) lock() {
	s := &t.search
	s.lookLater()
	if !s.mayBeKeyed(t.copier.noise) {
		return
	}
	if t.noMorse() {
		t.hopeless = true
		return
	}
	since := s.tuned.channel.out.first()
	e, found := s.find(s.stretch(since, t.copier.noise))
	if !found {
		return
	}
	t.locked, t.compared = true, t.recent.end
	s.tuned.channel.setDot(e.dot)
	t.copier.start(e, since)
	s.watchLater()
	t.run()
}

// watch finds out whether the speed has changed, or whether this is no Morse after all.
func (t *track) watch() {
	s, trust, known := &t.search, t.copier.trust, &t.copier.learner.sender
	late := t.recent.ago(s.watched)
	if known.misfit < fittingMisfit && (trust > leastTrust && late < longWatchSeconds || trust > beyondDoubt && late < sureWatchSeconds) {
		return
	}
	s.watchLater()
	c := s.compare(known, t.copier.noise)
	if c.gain < leastChange {
		s.misses++
		if known.misfit <= greatestMisfit || trust >= leastTrust {
			s.misses = 0
		}
		t.hopeless = s.misses >= mostMisses
		return
	}
	e, found := s.confirm(c, known.mean[dotLength], t.copier.noise)
	if !found {
		return
	}
	grid := &t.copier.trellis.elements.grid
	t.decide(int64((c.at - grid.origin) / grid.step))
	if !t.copier.beginning.again {
		s.tuned.channel.setDot(e.dot)
		t.copier.change(e, c.at)
		s.watchLater()
	}
	t.run()
}

// flush copies what is left.
func (t *track) flush() {
	if !t.locked && t.budget.left() {
		t.lock()
	}
	if t.locked {
		grid := &t.copier.trellis.elements.grid
		for range int(grid.step*float64(grid.ahead)) + 1 {
			t.search.tuned.channel.out.add(0)
		}
		t.run()
		t.lose()
	}
}

// lose prints what is left and reports the loss.
func (t *track) lose() {
	if !t.locked {
		return
	}
	t.finish()
	t.report.lose(t.sample(t.copier.done))
}

// finish prints what is left, from the beginning if it is to be copied once more.
func (t *track) finish() {
	for {
		t.decide(math.MaxInt64)
		if !t.copier.beginning.again && t.locked && !t.probation.passed && t.probation.chars >= fewestChars {
			t.judge(t.enough() + passesEnded - passes)
		}
		if !t.copier.beginning.again {
			return
		}
		t.run()
	}
}

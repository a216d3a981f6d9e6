package cw

import "math"

// What a track has copied is printed once it looks like text.

const (
	// A signal whose characters are no text is tried again, each time later, as more must be heard to change that (own choice).
	firstTry     = 2.0 // seconds after the first failure until the speed is looked for again,
	triesLonger  = 1.5 // times so much after each more
	mostFailures = 6

	beyondLimits = 1.06 // speeds that are a little faster or slower than the limits may be measured wrongly
	noiseHz      = 2500 // width in which a signal-to-noise ratio is told

)

// print takes a character that was copied.
func (t *track) print(h copied) {
	if h.respaced {
		t.probation.respace(h.spacing, baseRate/t.config.SampleRate)
	}
	if t.copier.beginning.again {
		t.probation.reset()
		return
	}
	if t.config.single() && t.chosen != nil && t.chosen != t {
		return
	}
	ch := Char{Signal: t.report.number, PitchHz: t.search.tuned.channel.hz + centreHz, WPM: t.copier.learner.wpm()}
	if h.word && !t.copier.beginning.unprinted {
		ch.Symbol, ch.At, ch.End, ch.Confidence = Space, t.sample(h.from), t.sample(h.start), t.copier.learner.faded(h.sure*h.isWord)
		t.emit(ch)
	}
	t.probation.evidence.hear(h.node, t.copier.conduct(h, t.rejected.count(t.recent.end)))
	ch.Symbol, _ = Lookup(tree[h.node].pattern)
	ch.At, ch.End, ch.Confidence = t.sample(h.start), t.sample(h.end), t.copier.learner.faded(h.sure)
	t.emit(ch)
	if !t.locked {
		return
	}
	if p := &t.probation; p.passed && !t.hopeless {
		t.report.tell(t.copier.state(), t.sample(h.end), ch.PitchHz)
	}
	t.copier.beginning.unprinted = false
	if t.probation.passed && (t.probation.evidence.sum < 0 || t.copier.learner.struck()) {
		t.hopeless = true
	}
}

// emit hands a character out, after the first have passed.
func (t *track) emit(c Char) {
	p := &t.probation
	if !p.passed {
		p.hold(c)
		if enough := t.enough(); p.ready(enough) {
			t.judge(enough)
		}
		return
	}
	if !t.hopeless {
		t.report.output.char(c)
	}
}

// enough is the evidence needed before printing. More is needed where other pitches were rejected as no Morse; an ordered
// pitch needs the least.
func (t *track) enough() float64 {
	if t.config.PitchHz != 0 {
		return passes
	}
	return passes + passesLater*float64(t.search.failures) + min(passesAmong*float64(t.rejected.count(t.recent.end)), mostAmong)
}

// judge hands out what was held back if there is so much evidence, or gives up the signal.
func (t *track) judge(enough float64) {
	p := &t.probation
	if l, found := t.copier.respace(); found {
		p.respace(l, baseRate/t.config.SampleRate)
	}
	if p.evidence.sum < enough || !t.plausible() || t.noMorse() {
		t.fail()
		return
	}
	if t.config.single() && t.chosen == nil {
		t.chosen = t
	}
	t.report.begin()
	p.passed, t.copier.beginning.settled = true, true
	for _, c := range p.held {
		c.Signal = t.report.number
		t.emit(c)
	}
	p.held = p.held[:0]
}

// fail gives up the speed, which may be wrong, as more signal would show.
func (t *track) fail() {
	t.search.failures++
	t.hopeless = t.search.failures >= mostFailures
	t.budget.credit -= t.search.cost
	t.locked, t.copier.beginning.unprinted = false, true
	t.probation.reset()
	seconds := firstTry * math.Pow(triesLonger, float64(t.search.failures-1))
	t.search.nextLook = t.recent.end + int64(seconds*bandRate)
}

// plausible says whether what is held may be Morse by its speed, its characters and its marks.
func (t *track) plausible() bool {
	wpm := t.copier.learner.wpm()
	return wpm < FastestWPM*beyondLimits && wpm > SlowestWPM/beyondLimits && t.probation.text() &&
		t.copier.learner.sender.misfit < greatestMisfit && !t.copier.learner.struck()
}

// noMorse says whether the signal's tone sounds with others as no Morse does.
func (t *track) noMorse() bool { return t.search.noMorse(t.probation.passed, t.locked) }

// sample is the audio sample of a step of the grid. A base sample is in the middle of its time.
func (t *track) sample(step int64) int64 {
	return t.output.clock.sample(t.search.tuned.bandTime(t.copier.base(step) - 0.5))
}

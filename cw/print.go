package cw

import "math"

// What a track has received is printed once it looks like text.

func (t *track) print(c found) {
	sure := t.band.posterior.of(t.trellis, c)
	word := t.trellis.word(c.start-c.from, c.length)
	if c.start < t.respaced {
		c.word = word > 0.5
	}
	if !c.word {
		sure *= 1 - word
	}
	t.learn(c, sure)
	if t.again {
		return
	}
	t.trust += trustGain * (sure - t.trust)
	b := t.band
	if b.config.Signals <= 1 && b.chosen != nil && b.chosen != t {
		return
	}
	ch := Char{Signal: t.number, PitchHz: t.channel.hz + centreHz, WPM: WPM(t.sender.dot() / baseRate)}
	if c.word && !t.first {
		ch.Symbol, ch.At, ch.End, ch.Confidence = Space, t.sample(c.from), t.sample(c.start), t.faded(sure*word)
		t.emit(ch)
	}
	marks := t.conduct(c, sure)
	if observe != nil {
		observe(marks)
	}
	t.evidence.hear(c.node, marks)
	ch.Symbol, _ = Lookup(tree[c.node].pattern)
	ch.At, ch.End, ch.Confidence = t.sample(c.start), t.sample(c.end), t.faded(sure)
	t.emit(ch)
	if !t.locked || t.again {
		return
	}
	t.report(c.end)
	t.first = false
	if t.passed && (t.evidence.sum < 0 || t.struck()) {
		t.hopeless = true
	}
}

// faded is a confidence as fading leaves it: a fade within a mark is like a gap, which the envelope does not reckon
// with (measured by grade cw, mid-moderate, 10 dB).
func (t *track) faded(sure float64) float64 {
	if t.trellis.phase != nil {
		return sure
	}
	power := 1 - fadedOdds*float64(t.fading())
	right, wrong := math.Pow(sure, power), math.Pow(max(0, 1-sure), power)
	return right / (right + wrong)
}

const fadedOdds = 0.5 // the power of the odds that is lost

// emit hands a character out, after the first have passed.
func (t *track) emit(c Char) {
	if !t.passed {
		t.hold(c)
		if t.probation.chars >= probationChars && (t.probation.chars >= mostHeld || t.evidence.sum > t.enough() || t.evidence.sum < fails) {
			t.judge(t.enough())
		}
		return
	}
	if t.hopeless {
		return
	}
	if t.band.decoder.events.Char != nil {
		t.band.decoder.events.Char(c)
	}
}

// enough is the evidence needed before printing. More is needed where other pitches were rejected as no Morse; an ordered pitch
// needs the least.
func (t *track) enough() float64 {
	if t.band.config.PitchHz != 0 {
		return passes
	}
	return passes + passesLater*float64(t.failures) + min(passesAmong*float64(t.band.rejecting()), mostAmong)
}

// judge hands out what was held back if there is so much evidence, or gives up the signal.
func (t *track) judge(enough float64) {
	t.respace()
	if t.evidence.sum < enough || !t.plausible() || t.band.inCompany(t) {
		// Perhaps the speed is wrong, which more signal would show.
		t.failures++
		t.band.credit -= t.cost
		t.hopeless = t.failures >= mostFailures
		t.locked, t.first = false, true
		t.probation.reset()
		t.nextLook = t.band.end + int64(relockSeconds*math.Pow(relockLonger, float64(t.failures-1))*bandRate)
		return
	}
	b := t.band
	if b.config.Signals <= 1 {
		if b.chosen == nil {
			b.chosen = t
		}
	}
	if t.number == 0 {
		b.number++
		t.number = b.number
	}
	t.passed = true
	for _, c := range t.held {
		c.Signal = t.number
		t.emit(c)
	}
	t.held = t.held[:0]
}

// plausible says whether what is held may be Morse by its speed, its characters and its marks.
func (t *track) plausible() bool {
	wpm := WPM(t.sender.dot() / baseRate)
	return wpm < FastestWPM*beyondLimits && wpm > SlowestWPM/beyondLimits && t.text() && t.sender.misfit < misfitOfText && !t.struck()
}

// report tells of the signal when it has changed.
func (t *track) report(end int64) {
	if !t.passed || t.hopeless {
		return
	}
	now := State{Signal: t.number, At: t.sample(end), Receiving: true, PitchHz: t.channel.hz + centreHz,
		WPM: WPM(t.sender.dot() / baseRate), SNR: 10 * math.Log10(t.power/t.noise*baseRate/2500),
		Weighting: t.sender.weighting(), DashRatio: t.sender.mean[dashLength] / t.sender.mean[dotLength]}
	if now.like(t.state) {
		return
	}
	t.state = now
	if t.band.decoder.events.State != nil {
		t.band.decoder.events.State(now)
	}
}

// like says whether what has changed is not worth a report.
func (s State) like(o State) bool {
	near := func(a, b, by float64) bool { return math.Abs(a-b) < by }
	return s.Receiving == o.Receiving && near(s.PitchHz, o.PitchHz, 3) && near(s.WPM, o.WPM, 0.06*s.WPM) && near(s.SNR, o.SNR, 4) &&
		near(s.Weighting, o.Weighting, 0.06) && near(s.DashRatio, o.DashRatio, 0.4)
}

// struck says whether marks die away as notes of music do; fading weakens as many as it strengthens, and its phase goes
// on from mark to mark.
func (t *track) struck() bool { return t.trellis.phase == nil && t.decay > mostDecay }

// lose prints what is left and reports the loss.
func (t *track) lose() {
	if !t.locked {
		return
	}
	t.finish()
	if t.state.Receiving {
		t.state.Receiving = false
		t.state.At = t.sample(t.done)
		if t.band.decoder.events.State != nil {
			t.band.decoder.events.State(t.state)
		}
	}
}

// finish prints what is left, from the beginning if it is to be copied once more.
func (t *track) finish() {
	for {
		t.decide(math.MaxInt64)
		if !t.again && t.locked && !t.passed && t.probation.chars >= fewestChars {
			t.judge(t.enough() + passesEnded - passes)
		}
		if !t.again {
			return
		}
		t.run()
	}
}

// sample is the audio sample of a step of the grid.
func (t *track) sample(step int64) int64 {
	base := t.trellis.origin + float64(step)*t.trellis.step - 0.5
	return t.band.decoder.sample(float64(t.origin) + base*decimation)
}

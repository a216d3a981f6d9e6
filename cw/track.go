package cw

import "math"

// track follows one signal from its first peak in the spectrum until it is lost: it looks for its speed, has it copied, and
// judges whether it is Morse (print.go).
type track struct {
	*common
	tuned     tuned
	copier    *copier
	probation probation
	locked    bool // its speed is known
	hopeless  bool // it is no Morse
	times     times
	tries     tries
	report    report
}

// times are samples of the band.
type times struct {
	opened   int64
	heard    int64 // when the signal was last there
	nextLook int64 // for the speed, or whether it has changed
	watched  int64 // when that was last looked for
	compared int64 // with other tones, last
}

// tries are attempts at a signal that have failed.
type tries struct {
	wait     float64 // seconds to the next look for the speed
	cost     float64 // of finding its pitch and its speed, in steps of the bank
	failures int     // to look like text
	misses   int     // looks in a row that found lengths which fit no speed
}

const (
	// Nats by which a speed must be more likely than noise, and than marks and gaps of any length (own choice).
	leastSignal    = 50.0
	leastStructure = 15.0

	firstWait  = 0.5 // seconds to the first look for a speed,
	longerWait = 1.3 // times so much to each further one,
	mostWait   = 5   // up to this
	clearlyOff = 0.2 // Hz by which a pitch is known better than when it was found
	quietLost  = 3.0 // seconds of silence after which a signal without a speed is lost,
	quietKept  = 15.0
	stillThere = 0.8 * leastPeak // power over the noise

	compareSeconds     = 4  // between looks at other tones,
	compareKnown       = 24 // and from so many seconds on,
	compareLongSeconds = 12 // so many: 16 s are remembered

	watchSeconds     = 3    // between looks whether the text still fits
	longWatchSeconds = 40   // after which the speed is looked for again even so,
	sureWatchSeconds = 160  // or after this if the text is beyond doubt
	beyondDoubt      = 0.95 // mean confidence of such a text,
	leastTrust       = 0.6  // and below which a text does not fit (own choice)
	fittingMisfit    = 2.2  // of lengths that fit well enough: 1 if they are as expected (own choice)
	greatestMisfit   = 2.8  // of what may be text (own choice)
	mostMisses       = 3

	leastChange = 20.0 // nats by which another speed explains a signal better (own choice)
	// A speed between these ratios to the known one is the same, unless it explains the signal better by sureChange.
	slowerRatio, fasterRatio = 1.15, 0.87
	sureChange               = 3 * leastChange
	// Dots that are looked at for another speed, within limits in seconds.
	watchedDots, watchedShortest, watchedLongest = 80, 6, 12
)

func newTrack(c *common) *track {
	t := &track{common: c}
	t.copier = newCopier(&t.tuned.channel.out, c.posterior, c.config.PlainLanguage)
	return t
}

// reset begins with another signal.
func (t *track) reset(hz float64, noise float64) {
	now := t.recent.end
	t.tuned.tune(hz, now)
	t.probation.reset()
	t.copier.reset()
	t.copier.setNoise(noise)
	t.locked, t.hopeless = false, false
	t.times.opened, t.times.heard, t.times.nextLook = now, now, now
	t.tries, t.report = tries{wait: firstWait}, report{output: &t.output}
}

// retune begins the channel anew with what is remembered since a sample of the band.
func (t *track) retune(hz float64, since int64) {
	since = max(since, t.recent.end-historyHops*hop)
	t.tuned.tune(hz, since)
	t.spend(float64((t.recent.end-since)/hop) * hopSteps)
	t.recent.replay(&t.tuned.channel, since)
}

// spend notes a cost in steps of the bank.
func (t *track) spend(steps float64) {
	t.tries.cost += steps
	t.budget.spend(steps)
}

// stretch is what is known of the signal since a base sample.
func (t *track) stretch(since float64) stretch {
	return stretch{&t.tuned.channel.out, since, t.copier.noise}
}

// add takes a hop of the band.
func (t *track) add(z []complex64) {
	t.tuned.channel.add(z)
	t.run()
}

// run copies up to the present.
func (t *track) run() {
	for t.locked {
		if t.copier.beginning.again {
			t.copier.restart()
			t.watchLater()
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
	now, hz := t.recent.end, t.tuned.channel.hz
	t.copier.setNoise(t.spectrum.noiseAt(hz))
	if t.spectrum.ratioAt(hz) > stillThere {
		t.times.heard = now
	}
	quiet := t.recent.ago(t.times.heard)
	t.hopeless = t.hopeless || !t.probation.passed && t.rejected.has(hz, now)
	if t.locked && !t.hopeless && t.compareDue() {
		t.times.compared = now
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
	if now >= t.times.nextLook {
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
	if t.recent.ago(t.times.opened) > compareKnown {
		every = compareLongSeconds
	}
	return t.recent.end-t.times.compared > int64(every*bandRate)
}

// noMorse compares the signal's tone with others.
func (t *track) noMorse() bool {
	found := t.tones.look(&t.tuned, t.probation.passed, t.tracks)
	if !t.locked {
		t.spend(found.cost)
	}
	if found.pair {
		t.rejected.add(found.hz, found.reach, t.recent.end)
	}
	return found.pair || found.chord
}

// lock tries to find the speed.
func (t *track) lock() {
	t.tries.wait = min(t.tries.wait*longerWait, mostWait)
	t.times.nextLook = t.recent.end + int64(t.tries.wait*bandRate)
	out := &t.tuned.channel.out
	if !t.bank.keyed(t.stretch(out.first())) {
		return
	}
	if hz := t.tuned.channel.hz; math.Abs(hz-t.tuned.began) > clearlyOff {
		t.retune(hz, t.tuned.origin)
	}
	since := out.first()
	if t.noMorse() {
		t.hopeless = true
		return
	}
	t.bank.steps = 0
	e := t.bank.find(t.stretch(since), t.config.dots())
	t.spend(t.bank.steps)
	if e.signal < leastSignal || e.structure < leastStructure {
		return
	}
	t.budget.credit += t.tries.cost
	t.locked, t.times.compared = true, t.recent.end
	t.tuned.channel.setDot(e.dot)
	t.copier.start(e, since)
	t.watchLater()
	t.run()
}

// watchLater puts off the next look whether the speed has changed.
func (t *track) watchLater() {
	t.times.watched = t.recent.end
	t.times.nextLook = t.recent.end + watchSeconds*bandRate
}

// watch finds out whether the speed has changed, or whether this is no Morse after all.
func (t *track) watch() {
	late, trust, misfit := t.recent.ago(t.times.watched), t.copier.trust, t.copier.learner.sender.misfit
	if misfit < fittingMisfit && (trust > leastTrust && late < longWatchSeconds || trust > beyondDoubt && late < sureWatchSeconds) {
		return
	}
	t.watchLater()
	dot, out := t.copier.learner.sender.mean[dotLength], &t.tuned.channel.out
	since := max(out.first(), float64(out.end)-max(watchedShortest*baseRate, min(watchedDots*dot, watchedLongest*baseRate)))
	c := t.bank.compare(t.stretch(since), &t.copier.learner.sender, t.config.dots())
	if c.gain < leastChange {
		if misfit > greatestMisfit && trust < leastTrust {
			t.tries.misses++
			t.hopeless = t.tries.misses >= mostMisses
		} else {
			t.tries.misses = 0
		}
		return
	}
	e := t.bank.find(t.stretch(c.at), t.config.dots())
	ratio := e.dot / dot
	same := ratio > fasterRatio && ratio < slowerRatio && c.gain < sureChange
	if e.signal < leastSignal || e.structure < leastChange/2 || same {
		return
	}
	grid := &t.copier.trellis.elements.grid
	t.decide(int64((c.at - grid.origin) / grid.step))
	if !t.copier.beginning.again {
		t.tuned.channel.setDot(e.dot)
		t.copier.change(e, c.at)
		t.watchLater()
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
			t.tuned.channel.out.add(0)
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

// sample is the audio sample of a step of the grid. A base sample is in the middle of its time.
func (t *track) sample(step int64) int64 {
	return t.output.clock.sample(t.tuned.bandTime(t.copier.base(step) - 0.5))
}

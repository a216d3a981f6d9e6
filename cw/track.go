package cw

import "math"

// track copies one signal.
type track struct {
	band     *band
	channel  channel
	trellis  *trellis
	sender   sender
	origin   int64 // band sample at which the channel began
	noise    float64
	began    float64 // pitch at origin
	number   int     // 0: not printed yet
	locked   bool
	nextLook int64 // band sample
	wait     float64
	cost     float64 // of finding its pitch and its speed, in steps of the bank
	heard    int64   // band sample when the signal was last there
	done     int64   // step of the grid where the last printed character ended
	probation
	failures  int   // to look like text
	misses    int   // looks in a row that found lengths which fit no speed
	hopeless  bool  // it is no Morse
	alone     int64 // band sample of the last look for company
	state     State // that was reported last
	opened    int64 // band sample
	first     bool  // nothing is printed yet
	chars     []found
	unsteady  float64 // mean square of the steps of the level, in nats of amplitude
	watched   int64   // band sample of the last look whether the speed has changed
	phased    bool    // that the phase tells something has been seen
	again     bool    // the beginning is to be copied once more, for that
	amplitude float64 // when it was locked
	decay     float64 // mean of how much weaker dashes are at their end, in nats of amplitude
	power     float64 // mean of that in the middle of dashes
	trust     float64 // mean confidence of the last characters
	gaps      gaps
	respaced  int64 // step up to which the trellis has told words by other lengths of gaps
	coherence coherence
	carriers  *carriers
	marks     []mark // of the last character, the last one first
}

const (
	lagDots          = 32 // after which a character is decided
	decideDots       = 4  // between decisions
	dotEnergy        = 90 // energy of a dot over the noise that is believed
	leastSignal      = 50.0
	leastStructure   = 15.0
	leastSure        = 0.5 // of a character that the sender is learnt from
	unsteadyGain     = 0.03
	trustGain        = 0.15
	decayGain        = 0.15
	powerGain        = 0.15
	mostDecay        = 0.35
	watchSeconds     = 3    // between looks whether the text still fits
	longWatchSeconds = 40   // after which the speed is looked for again even so,
	sureWatchSeconds = 160  // or after this if the text is beyond doubt
	beyondDoubt      = 0.95 // trust
	greatestMisfit   = 2.2
	leastTrust       = 0.6
	leastChange      = 20.0
	misfitOfText     = 2.8
	mostFailures     = 6
	relockSeconds    = 2   // after the first failure,
	relockLonger     = 1.5 // times so much after each more
	mostMisses       = 3
	leastNoise       = 1e-14 // of digital silence; the noise of 16 bits has 1e-11 in a base sample
	keepSeconds      = 15.0
)

func newTrack(b *band) *track {
	t := &track{band: b, trellis: newTrellis(), carriers: new(carriers), marks: make([]mark, 0, 16)}
	if b.config.PlainLanguage {
		t.trellis.plain = newPlain()
	}
	return t
}

func (t *track) reset(hz float64, origin int64, noise float64) {
	t.channel.reset(hz)
	t.tune(hz, origin)
	t.noise = max(noise/decimation, leastNoise)
	t.hopeless, t.misses, t.failures = false, 0, 0
	t.probation.reset()
	t.state, t.opened = State{}, t.band.end
	t.unsteady = 0.02
	t.trellis.noWords()
	t.number, t.locked, t.nextLook, t.wait, t.heard, t.done, t.first = 0, false, t.band.end, 0.5, t.band.end, -1, true
}

// tune begins the channel anew.
func (t *track) tune(hz float64, origin int64) {
	t.channel.reset(hz)
	t.origin, t.began = origin, hz
}

func (t *track) add(z []complex64) {
	t.channel.add(z)
	t.run()
}

// run takes the trellis to the present.
func (t *track) run() {
	for t.locked {
		if t.again {
			t.again = false
			t.trellis.noWords()
			t.begin(t.trellis.origin, t.amplitude)
		}
		if !t.trellis.ready() {
			return
		}
		t.trellis.next()
		if t.trellis.n%(decideDots*gridSteps) == 0 {
			t.decide(t.trellis.n - lagDots*gridSteps)
		}
	}
}

// look is called twice a second; false: the signal is lost.
func (t *track) look(s *spectrum) bool {
	now := t.band.end
	t.noise = max(s.noiseAt(t.channel.hz)/decimation, leastNoise)
	if s.at(t.channel.hz) > leastPeak*0.8 {
		t.heard = now
	}
	if t.hopeless || !t.passed && t.band.isRejected(t.channel.hz) {
		t.hopeless = true
		t.lose()
		return false
	}
	quiet := float64(now-t.heard) / bandRate
	if t.locked {
		every := int64(companySeconds * bandRate)
		if now-t.opened > companyKnown*bandRate {
			every = companySeldom * bandRate
		}
		if now-t.alone > every {
			t.alone = now
			if t.hopeless = t.band.inCompany(t); t.hopeless {
				return t.look(s)
			}
		}
		t.trellis.noise = t.noise
		if now >= t.nextLook {
			t.watch()
		}
		if quiet > keepSeconds {
			t.lose()
			return false
		}
		return true
	}
	if quiet > 3 {
		return false
	}
	return true
}

// lock tries to find the speed.
func (t *track) lock() {
	t.wait = min(t.wait*1.3, 5)
	t.nextLook = t.band.end + int64(t.wait*bandRate)
	if !t.band.bank.keyed(&t.channel.out, t.noise) {
		return
	}
	shortest, longest := t.limits()
	if hz := t.channel.hz; math.Abs(hz-t.began) > 0.2 { // the pitch is known better than when it was found
		t.band.replay(t, hz, t.origin)
	}
	since := t.channel.out.first()
	if t.band.inCompany(t) {
		t.hopeless = true
		return
	}
	t.band.bank.steps = 0
	e := t.band.bank.find(&t.channel.out, since, t.noise, shortest, longest)
	t.band.spend(t, t.band.bank.steps)
	if e.signal < leastSignal || e.structure < leastStructure {
		return
	}
	t.band.credit += t.cost
	t.locked, t.trust, t.decay, t.alone = true, 1, 0, t.band.end
	t.phased, t.again, t.amplitude = false, false, e.amplitude
	t.power = e.amplitude * e.amplitude
	t.coherence.chosen = -1
	t.trellis.noWords()
	t.sender = newSender(e.dot)
	t.sender.spread = e.spread
	t.channel.half = min(max(5, int(e.dot/2)), 40)
	t.begin(since, e.amplitude)
	t.run()
}

// limits of the length of a dot in base samples.
func (t *track) limits() (shortest, longest float64) {
	if w := t.band.config.WPM; w != 0 {
		return DotSeconds(w*1.25) * baseRate, DotSeconds(w*0.8) * baseRate
	}
	return DotSeconds(FastestWPM) * baseRate, DotSeconds(SlowestWPM) * baseRate
}

// watch finds out whether the speed has changed, or whether this is no Morse after all.
func (t *track) watch() {
	dot := t.sender.mean[dotLength]
	out := &t.channel.out
	late := float64(t.band.end-t.watched) / bandRate
	if t.sender.misfit < greatestMisfit && (t.trust > leastTrust && late < longWatchSeconds || t.trust > beyondDoubt && late < sureWatchSeconds) {
		return
	}
	t.nextLook = t.band.end + watchSeconds*bandRate
	t.watched = t.band.end
	shortest, longest := t.limits()
	since := max(out.first(), float64(out.end)-max(6*baseRate, min(80*dot, 12*baseRate)))
	c := t.band.bank.compare(out, since, t.noise, &t.sender, shortest, longest)
	if c.gain < leastChange {
		if t.sender.misfit > misfitOfText && t.trust < leastTrust {
			t.misses++
			t.hopeless = t.misses >= mostMisses
		} else {
			t.misses = 0
		}
		return
	}
	e := t.band.bank.find(out, c.at, t.noise, shortest, longest)
	if ratio := e.dot / dot; e.signal < leastSignal || e.structure < leastChange/2 || ratio > 0.87 && ratio < 1.15 && c.gain < 3*leastChange {
		return
	}
	t.decide(int64((c.at - t.trellis.origin) / t.trellis.step))
	if t.again {
		t.run()
		return
	}
	wide := t.sender.gaps()
	t.sender = newSender(e.dot)
	t.sender.spread = e.spread
	// Whoever sends characters far apart does so at any speed.
	t.sender.mean[characterLength], t.sender.mean[wordLength] = wide.character*e.dot/dot, wide.word*e.dot/dot
	t.channel.half = min(max(5, int(e.dot/2)), 40)
	if t.done >= 0 {
		c.at = max(c.at, t.trellis.origin+float64(t.done)*t.trellis.step)
	}
	t.begin(c.at, e.amplitude)
	t.trust = 1
	t.run()
}

// begin starts the trellis at a base sample.
func (t *track) begin(since, amplitude float64) {
	t.gaps.reset()
	t.respaced = 0
	step := t.sender.mean[dotLength] / gridSteps
	t.trellis.limit = float32(t.sender.mean[dotLength] / dotEnergy)
	t.trellis.cell = gridSteps
	t.trellis.kinds()
	t.trellis.set(&t.sender, step)
	t.trellis.fade(t.fading())
	t.trellis.begin(&t.channel.out, since, step, t.noise, amplitude)
	t.trellis.phase = nil
	if t.coherence.start(amplitude, step) {
		t.heedPhase(0)
	}
	t.done = -1
	t.nextLook, t.watched = t.band.end+watchSeconds*bandRate, t.band.end
}

// decide prints what ended before a step of the grid.
func (t *track) decide(until int64) {
	t.chars = t.trellis.path(t.chars[:0], t.done, until)
	if len(t.chars) == 0 || t.chars[0].start <= t.done {
		return
	}
	t.band.posterior.look(t.trellis)
	for i := len(t.chars) - 1; i >= 0; i-- {
		if c := t.chars[i]; c.start > t.done && t.locked && !t.again {
			t.print(c)
			t.done = c.end
		}
	}
}

func (t *track) flush() {
	if !t.locked && t.band.credit >= 0 {
		t.lock()
	}
	if t.locked {
		for range int(t.trellis.step*float64(t.trellis.ahead)) + 1 {
			t.channel.out.add(0)
		}
		t.run()
		t.lose()
	}
}

// learn adapts to the sender by a character that was received.
func (t *track) learn(c found, sure float64) {
	weight := 1.0
	if sure < leastSure {
		weight = 0
	}
	t.marks = t.marks[:0]
	t.trellis.parts(c, func(l length, end, steps int64) {
		t.sender.hear(l, float64(steps)*t.trellis.step, weight)
		if l == dashLength {
			t.decay += decayGain * (t.trellis.decay(end, steps) - t.decay)
			t.power += powerGain * (t.trellis.middle(end, steps) - t.power)
		}
		if l != gapLength {
			t.marks = append(t.marks, mark{end, steps, l == dashLength})
			t.unsteady += unsteadyGain * (t.trellis.surprise(end, steps) - t.unsteady)
		}
	})
	t.cohere()
	t.trellis.fade(t.fading())
	t.trellis.heardSign(tree[c.node].kind, weight*sure)
	if c.from >= 0 && !t.first {
		steps := c.start - c.from
		word, x := t.trellis.word(steps, c.length), float64(steps)*t.trellis.step
		t.sender.hear(characterLength, x, weight*(1-word))
		t.sender.hear(wordLength, x, weight*word)
		ifWord, ifCharacter := t.trellis.likely(steps)
		t.trellis.heardGap(c.length, ifWord, ifCharacter, word)
		if t.gaps.hear(x) {
			inWord := 1
			if !c.word {
				inWord += int(c.length)
			}
			t.relearn(inWord)
		}
	}
	t.trellis.set(&t.sender, t.trellis.step)
}

// fading is from 0, a steady signal, to 1, one whose level strays by a quarter from one mark to the next.
func (t *track) fading() float32 { return float32(min(max(t.unsteady/(0.25*0.25), 0), 1)) }

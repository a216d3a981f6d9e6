package cw

import (
	"math"
)

// search follows the pitch of a signal and looks for its speed, and later whether that has changed.
type search struct {
	common   *common
	tuned    tuned
	nextLook int64   // band sample of the next look for the speed, or whether it has changed
	watched  int64   // band sample of the last look whether the speed has changed
	wait     float64 // seconds to the next look for the speed
	cost     float64 // of finding the pitch and the speed, in steps of the bank
	failures int     // speeds at which the signal did not look like text
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

	watchSeconds = 3    // between looks whether the speed has changed
	leastChange  = 20.0 // nats by which another speed explains a signal better (own choice)
	// A speed between these ratios to the known one is the same, unless it explains the signal better by sureChange.
	slowerRatio, fasterRatio = 1.15, 0.87
	sureChange               = 3 * leastChange
	// Dots that are looked at for another speed, within limits in seconds.
	watchedDots, watchedShortest, watchedLongest = 80, 6, 12
)

// reset begins with another signal.
func (s *search) reset(hz float64) {
	now := s.common.recent.end
	*s = search{common: s.common, tuned: s.tuned, nextLook: now, watched: now, wait: firstWait}
	s.tuned.tune(hz, now)
}

// retune begins the channel anew with the samples since one of the band, as far as they are kept.
func (s *search) retune(hz float64, since int64) {
	recent := &s.common.recent
	since = max(since, recent.end-historyHops*hop)
	s.tuned.tune(hz, since)
	s.spend(float64((recent.end-since)/hop) * hopSteps)
	recent.replay(&s.tuned.channel, since)
}

// spend notes a cost in steps of the bank.
func (s *search) spend(steps float64) {
	s.cost += steps
	s.common.budget.spend(steps)
}

// stretch is the signal since a base sample.
func (s *search) stretch(since, noise float64) stretch {
	return stretch{&s.tuned.channel.out, since, noise}
}

// noMorse compares the signal's tone with others. printed and locked say whether it is printed, and its speed known.
func (s *search) noMorse(printed, locked bool) bool {
	c := s.common
	found := c.tones.look(&s.tuned, printed, c.tracks)
	if !locked {
		s.spend(found.cost)
	}
	if found.pair {
		c.rejected.add(found.hz, found.reach, c.recent.end)
	}
	return found.pair || found.chord
}

// lookLater puts off the next look for the speed.
func (s *search) lookLater() {
	s.wait = min(s.wait*longerWait, mostWait)
	s.nextLook = s.common.recent.end + int64(s.wait*bandRate)
}

// watchLater puts off the next look whether the speed has changed.
func (s *search) watchLater() {
	s.watched = s.common.recent.end
	s.nextLook = s.watched + watchSeconds*bandRate
}

// mayBeKeyed says whether the signal may be keyed at some speed, and if so retunes to it, if its pitch is now known better.
func (s *search) mayBeKeyed(noise float64) bool {
	if !s.common.bank.keyed(s.stretch(s.tuned.channel.out.first(), noise)) {
		return false
	}
	if hz := s.tuned.channel.hz; math.Abs(hz-s.tuned.began) > clearlyOff {
		s.retune(hz, s.tuned.origin)
	}
	return true
}

// find tries all speeds on a stretch. The cost of a signal whose speed is found is refunded.
func (s *search) find(x stretch) (e evidence, found bool) {
	bank := s.common.bank
	bank.steps = 0
	e = bank.find(x, s.common.config.dots())
	s.spend(bank.steps)
	if e.signal < leastSignal || e.structure < leastStructure {
		return e, false
	}
	s.common.budget.credit += s.cost
	return e, true
}

// compare looks for another speed from some time on within the last dots.
func (s *search) compare(known *sender, noise float64) change {
	out, dot := &s.tuned.channel.out, known.mean[dotLength]
	since := max(out.first(), float64(out.end)-max(watchedShortest*baseRate, min(watchedDots*dot, watchedLongest*baseRate)))
	return s.common.bank.compare(s.stretch(since, noise), known, s.common.config.dots())
}

// confirm finds the speed since a change, and whether it differs from the one that is known by its dot.
func (s *search) confirm(c change, dot, noise float64) (e evidence, found bool) {
	e = s.common.bank.find(s.stretch(c.at, noise), s.common.config.dots())
	ratio := e.dot / dot
	same := ratio > fasterRatio && ratio < slowerRatio && c.gain < sureChange
	return e, e.signal >= leastSignal && e.structure >= leastChange/2 && !same
}

package survey

import (
	"cmp"
	"math"
	"slices"
)

const (
	firstTry      = 2.0 // seconds after a line was seen first
	leastSeen     = 3   // looks that saw a line that is tried,
	leastAge      = 1.0 // and seconds
	judgedPerLook = 3
	judgedAtLast  = 24
	// Trials follow each other in tryAgain seconds, which grow by a third: what takes longer to be told takes longer.
	tryAgain, tryGrows = 1.5, 1.35
	waitSeconds        = 1.0 // for credit
	askSeconds         = 4.0 // after which a line that waits may look otherwise
	// envelopeSeconds of a line are looked at, and a little before it was seen.
	envelopeSeconds, envelopeBefore = 8.0, 0.7
	// leastTried is the density over the floor of a line that is looked at. A signal of -10 dB in 2500 Hz has 10 if it is a
	// steady tone, one of 0 dB with two tones of 50 Bd some 25; what is less is mostly a ripple of speech or a sideband.
	leastTried = 4.0
	leastTone  = 6.0 // of one of a single tone
	leastOther = 8.0 // of one that is told though nothing is known of it
	// A carrier: seconds after which a line may be one, turns from off to on a second, and share of the time that it is off, of a
	// carrier that fades.
	carrierAge   = 7.0
	carrierTurns = 1.7
	carrierOff   = 0.33
	carrierHz    = 5.0 // to its edges: a bin
	carrierSure  = 0.8 // confidence
	otherAge     = 22.0
	otherTries   = 5
	otherHz      = 30.0 // to its edges,
	otherPairHz  = 40.0 // and of what has two tones
	otherSure    = 0.5
)

// look looks at the lines whose time has come.
func (s *lineSearch) look(last bool) {
	now := s.frames.count
	judged, most := 0, judgedPerLook
	if last {
		most = judgedAtLast
	}
	slices.SortStableFunc(s.lines.list, func(a, b *line) int { return cmp.Compare(b.density, a.density) }) // the strongest first
	for i := 0; i < len(s.lines.list) && judged < most; i++ {
		l := s.lines.list[i]
		if !s.due(l, last) {
			continue
		}
		t := &l.trial
		chance := freshChance
		if t.waited && s.frames.seconds(now-t.asked) < askSeconds {
			chance = t.chance
		}
		if !last && s.seekers.announces(l.hz) || !s.judging.admits(l.hz, chance, last) {
			continue
		}
		t.tries++
		judged++
		if t.next = -1; !last {
			t.next = now + int64(tryAgain*math.Pow(tryGrows, float64(t.tries-1))/s.frames.hopS)
		}
		n := len(s.lines.list)
		found, waits := s.try(l, last)
		s.judging.settle()
		switch {
		case waits:
			t.tries--
			t.waited, t.asked = true, now
			t.next = now + int64(waitSeconds/s.frames.hopS)
		case found && len(s.lines.list) < n:
			i = -1 // the list is another one
		}
	}
}

// due says that the time to try a line has come.
func (s *lineSearch) due(l *line, last bool) bool {
	now := s.frames.count
	if last && l.trial.next < 0 || !last && (l.trial.next > now || l.last != now || l.seen < leastSeen) {
		return false
	}
	return s.frames.seconds(now-l.first) >= leastAge && l.density >= leastTried*l.floor
}

// try finds out what a line is. A line waits if it needs a judge for which there is no credit.
func (s *lineSearch) try(l *line, last bool) (found, waits bool) {
	now := s.frames.count
	age := s.frames.seconds(now - l.first)
	to := s.frames.end()
	from := max(to-int64(min(age+envelopeBefore, envelopeSeconds)*s.frames.rate), s.gauge.ring.first())
	s.env[0] = s.judging.cutter.envelope(s.env[0][:0], l.hz, from, to)
	if found, waits := s.tryPhase(l, age, last); found || waits {
		return found, waits
	}
	if other, c := s.partner(l, from, to); other != nil {
		chance := doubtChance
		if c < surePair {
			chance = pairChance
		}
		if !s.admits(l, chance, last) {
			return false, true
		}
		same := l.trial.vain == now && l.trial.vainHz == other.hz
		if !same && s.tryPair(l, other, age, last) {
			return true, false
		}
		s.judging.missed(l.hz)
		other.trial.vain, other.trial.vainHz = now, l.hz
		switch {
		case age < pairAge && !last:
			return false, false
		case c < surePair && age > otherAge:
			s.openOther(l, min(l.hz, other.hz)-otherPairHz, max(l.hz, other.hz)+otherPairHz)
			return true, false
		case c < surePair:
			return false, false
		}
	}
	if l.density < leastTone*l.floor || s.seekers.expects(l.hz) && !last {
		return false, false
	}
	s.keying.measure(s.env[0])
	if found, waits := s.tryKeyed(l, age, last); found || waits {
		return found, waits
	}
	if s.keying.turns < carrierTurns && s.keying.off < carrierOff && age > carrierAge && s.narrow(l) {
		t := s.newTrack(l, Carrier, nil, l.hz-carrierHz, l.hz+carrierHz)
		if s.gauge.steady(t, carrierAge) {
			t.Confidence = carrierSure
			s.tracker.open(t, s.gauge.lastThere(t))
			return true, false
		}
	}
	if age > otherAge && l.trial.tries >= otherTries && l.density > leastOther*l.floor {
		s.openOther(l, l.hz-otherHz, l.hz+otherHz)
		return true, false
	}
	return false, false
}

// openOther begins a track of what is there and of no mode.
func (s *lineSearch) openOther(l *line, low, high float64) {
	t := s.newTrack(l, Other, nil, low, high)
	t.Hz, t.Confidence = (low+high)/2, otherSure
	s.tracker.open(t, s.gauge.lastThere(t))
}

// narrow says that a line is no wider than that of a steady tone: 12 Hz from its top, at least three bins, a Hann window leaves
// nothing of it (sidelobes of -31 dB), and fading a hundredth.
func (s *lineSearch) narrow(l *line) bool {
	const sideHz, leastBins, sideShare, sideNoise = 12.0, 3, 0.1, 2.0
	b, m := s.frames.bin(l.hz), s.spectrum.mean
	reach := max(leastBins, int(math.Ceil(sideHz/s.frames.binHz)))
	side := float32(0)
	for _, i := range []int{b - reach, b + reach} {
		if i >= 0 && i < len(m) {
			side = max(side, m[i])
		}
	}
	return float64(side) < sideShare*l.density+sideNoise*l.floor
}

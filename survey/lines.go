package survey

import (
	"cmp"
	"math"
	"slices"

	"ionoscribe/internal/mode"
)

// line is a frequency at which something is heard that is not known yet.
type line struct {
	peak
	first, last int64 // frames of the looks that saw it
	seen        int   // looks
	tries       int
	judged      float64 // seconds, lately
	vain        int64   // frame in which it was judged in vain as the partner of one
	vainHz      float64 // at this frequency
	waited      bool    // for credit,
	chance      float64 // as it was when it was looked at,
	asked       int64   // in that frame
	next        int64   // frame
	track       *track  // it is no line but that of a track
}

const (
	nearHz        = 18.0 // within which a line is the same
	patientLooks  = 6    // after which a line that is not seen is forgotten
	firstTry      = 2.0  // seconds after a line was seen first
	carrierAge    = 7.0
	otherAge      = 22.0
	otherTries    = 5
	mostLines     = 256
	judgedPerLook = 3
	judgedAtLast  = 24
	waitSeconds   = 1.0 // for credit
	askSeconds    = 4.0 // after which a line that waits may look otherwise
	firstStretch  = 8.0 // that tells a pair
	mostPartners  = 8
	// leastPair is the correlation of the tones of a pair, at most.
	leastPair, surePair = -0.25, -0.5
	// leastTried is the density over the floor of a line that is looked at. A signal of -10 dB in 2500 Hz has 10 if it is a
	// steady tone, one of 0 dB with two tones of 50 Bd some 25; what is less is mostly a ripple of speech or a sideband.
	leastTried = 4.0
	leastTone  = 6.0 // of one of a single tone
	pairAge    = 12.0
	// A keyed line: Morse of 10 words a minute has 2.3 marks a second (PARIS: 14), a steady tone that fades by 1 Hz one fade or less.
	keyedOff              = 0.2
	leastMarks            = 12   // four or five characters
	mostStray             = 0.27 // hands stray by 0.1 to 0.2; lengths at random by 0.3 and more
	leastTurns, mostTurns = 1.2, 1.7
	mostOff               = 0.33 // of a carrier that fades
	steadyShare           = 0.75 // of the time in which a carrier is there
	dcHz                  = 12.0 // of complex samples, where receivers have a spike
)

// stretches are the lengths in seconds that are judged.
var stretches = []float64{3, 5, 8, 12, 17, 26}

// stretch is as much of the past as is needed for an age in seconds, in samples.
func (s *Survey) stretch(age float64) int64 {
	have := float64(s.frames.end()-s.ring.first()-s.frames.hop) / s.config.SampleRate
	best := 0.0
	for _, v := range stretches {
		if v > have {
			break
		}
		best = v
		if v >= age {
			break
		}
	}
	return int64(best * s.config.SampleRate)
}

func (s *Survey) seconds(frames int64) float64 { return float64(frames) * s.frames.hopS }

// findLines brings the lines up to date.
func (s *Survey) findLines() {
	now := s.frames.count
	for _, p := range s.spectrum.find() {
		if s.config.IQ && math.Abs(p.hz) < dcHz || s.known(p) {
			continue
		}
		var l *line
		for _, k := range s.lines {
			if d := math.Abs(k.hz - p.hz); d < nearHz && (l == nil || d < math.Abs(l.hz-p.hz)) {
				l = k
			}
		}
		if l == nil {
			if len(s.lines) < mostLines {
				s.lines = append(s.lines, &line{peak: p, first: now, last: now, seen: 1, next: now + int64(firstTry/s.frames.hopS)})
			}
			continue
		}
		if l.last != now {
			l.peak = p
			l.seen++
		}
		l.last = now
	}
	kept := s.lines[:0]
	for _, l := range s.lines {
		if now-l.last < patientLooks*lookFrames && !s.known(l.peak) {
			kept = append(kept, l)
		}
	}
	s.lines = kept
}

func (s *Survey) known(p peak) bool {
	for _, t := range s.tracks {
		if t.covers(p) {
			return true
		}
	}
	return false
}

// newBudget is full; it grows with the band, as what is in it does.
func (s *Survey) newBudget() budget {
	full := workAtOnce * max(1, (s.config.HighHz-s.config.LowHz)/(audioHighHz-audioLowHz))
	return budget{full: full, credit: full}
}

// classify looks at the lines whose time has come.
func (s *Survey) classify(last bool) {
	now := s.frames.count
	judged, most := 0, judgedPerLook
	if last {
		most = judgedAtLast
	}
	slices.SortStableFunc(s.lines, func(a, b *line) int { return cmp.Compare(b.density, a.density) }) // the strongest first
	for i := 0; i < len(s.lines) && judged < most; i++ {
		l := s.lines[i]
		if !last && (l.next > now || l.last != now || l.seen < 3) || last && l.next < 0 || s.seconds(now-l.first) < 1 || l.density < leastTried*l.floor {
			continue
		}
		chance := freshChance
		if l.waited && s.seconds(now-l.asked) < askSeconds {
			chance = l.chance
		}
		if !last && s.announced(l.hz) || !s.budget.admits(s.chance(l.hz, chance), last) {
			continue
		}
		l.tries++
		judged++
		if l.next = -1; !last {
			l.next = now + int64(1.5*math.Pow(1.35, float64(l.tries-1))/s.frames.hopS)
		}
		n := len(s.lines)
		found, waits := s.try(l, last)
		s.settle()
		switch {
		case waits:
			l.tries--
			l.waited, l.asked = true, now
			l.next = now + int64(waitSeconds/s.frames.hopS)
		case found && len(s.lines) < n:
			i = -1 // the list is another one
		}
	}
}

// try finds out what a line is. A line waits if it needs a judge for which there is no credit.
func (s *Survey) try(l *line, last bool) (found, waits bool) {
	now := s.frames.count
	age := s.seconds(now - l.first)
	to := s.frames.end()
	from := max(to-int64(min(age+0.7, 8)*s.config.SampleRate), s.ring.first())
	s.env[0] = s.cutter.envelope(s.env[0][:0], l.hz, from, to)
	if found, waits := s.tryPhase(l, age, last); found || waits {
		return found, waits
	}
	if other, c := s.partner(l, from, to); other != nil {
		chance := doubtChance
		if c < surePair {
			chance = pairChance
		}
		if l.chance = chance; !s.budget.admits(s.chance(l.hz, chance), last) {
			return false, true
		}
		if same := l.vain == now && l.vainHz == other.hz; !same && s.tryPair(l, other, age, last) {
			return true, false
		}
		s.missed(l.hz)
		other.vain, other.vainHz = now, l.hz
		if age < pairAge && !last {
			return false, false
		}
		if c < surePair {
			return age > otherAge && s.openOther(min(l.hz, other.hz)-40, max(l.hz, other.hz)+40, l), false
		}
	}
	if l.density < leastTone*l.floor || s.expects(l.hz) && !last {
		return false, false
	}
	k := s.keyed(s.env[0])
	found, waits = s.tryKeyed(l, k, age, last)
	if found || waits {
		return found, waits
	}
	switch {
	case k.turns < mostTurns && k.off < mostOff && age > carrierAge && s.narrow(l) && s.steady(l):
		t := s.newTrack(l, Carrier, nil, l.hz-5, l.hz+5)
		t.Confidence = 0.8
		s.open(t, s.lastThere(t))
		return true, false
	case age > otherAge && l.tries >= otherTries && l.density > 8*l.floor:
		return s.openOther(l.hz-30, l.hz+30, l), false
	}
	return false, false
}

// steady says that a line has been there for most of the time that a carrier needs, and is there now.
func (s *Survey) steady(l *line) bool {
	t := s.newTrack(l, Carrier, nil, l.hz-5, l.hz+5)
	now := s.frames.count
	n, there := 0, 0
	for k := now; k > now-int64(carrierAge/s.frames.hopS); k -= windowFrames {
		n++
		if s.present(t, k) {
			there++
		}
	}
	return s.present(t, now) && float64(there) > steadyShare*float64(n)
}

// lastThere is a frame at which a track is there, the present if it is not.
func (s *Survey) lastThere(t *track) int64 {
	now := s.frames.count
	for k := now; k > now-int64(meanSeconds/s.frames.hopS); k -= 2 {
		if s.present(t, k) {
			return k
		}
	}
	return now
}

func (s *Survey) openOther(low, high float64, l *line) bool {
	t := s.newTrack(l, Other, nil, low, high)
	t.Hz, t.Confidence = (low+high)/2, 0.5
	s.open(t, s.lastThere(t))
	return true
}

// narrow says that a line is no wider than that of a steady tone.
func (s *Survey) narrow(l *line) bool {
	b, m := s.frames.bin(l.hz), s.spectrum.mean
	reach := max(3, int(math.Ceil(12/s.frames.binHz)))
	side := float32(0)
	for _, i := range []int{b - reach, b + reach} {
		if i >= 0 && i < len(m) {
			side = max(side, m[i])
		}
	}
	return float64(side) < 0.1*l.density+2*l.floor
}

// partner is the line that sounds while l does not, if there is one; the envelope of l is in env[0].
func (s *Survey) partner(l *line, from, to int64) (best *line, c float64) {
	c = leastPair
	tried := 0
	least, most := s.pairs()
	for _, o := range s.lines {
		d := math.Abs(o.hz - l.hz)
		if tried == mostPartners {
			break
		}
		if o == l || d < least-8 || d > most+10 || o.seen < 2 || o.density < 0.01*l.density || o.density > 100*l.density {
			continue
		}
		tried++
		s.env[1] = s.cutter.envelope(s.env[1][:0], o.hz, from, to)
		// That of unequal tones is spoilt by what leaks from the stronger one: prefer equal ones.
		v := correlation(s.env[0], s.env[1])
		if v >= c && best == nil && inTurn(s.env[0], s.env[1]) {
			v = math.Nextafter(c, -1) // any other is better
		}
		if v < c {
			best, c = o, v
		}
	}
	for _, t := range s.tracks { // the other tone may have been taken for a keyed one, or for a carrier as long as nothing was sent
		d := math.Abs(t.Hz - l.hz)
		if t.shape.Line == nil && t.Kind != Carrier || d < least-8 || d > most+10 || s.frames.count-t.heard > 2*lookFrames {
			continue
		}
		s.env[1] = s.cutter.envelope(s.env[1][:0], t.Hz, from, to)
		if v := correlation(s.env[0], s.env[1]); v < min(c, surePair) {
			best, c = &line{peak: peak{t.Hz, l.density, l.floor}, track: t}, v
		}
	}
	return best, c
}

// stretchOf is the stretch to judge a line by that may be told by so many seconds: not all of it, if it had to wait.
func (s *Survey) stretchOf(l *line, age, clear float64) int64 {
	if l.waited {
		age = min(age, max(clear, 1.5*l.judged)-1)
	}
	n := s.stretch(age + 1)
	l.judged = float64(n) / s.config.SampleRate
	return n
}

// free is a frequency, or what is nearer to a signal at hz if something else is between.
func (s *Survey) free(edge, hz float64) float64 {
	for _, t := range s.tracks {
		switch {
		case t.broad:
		case edge < hz && t.HighHz < hz && t.HighHz+5 > edge:
			edge = min((t.HighHz+hz)/2, t.HighHz+20)
		case edge > hz && t.LowHz > hz && t.LowHz-5 < edge:
			edge = max((t.LowHz+hz)/2, t.LowHz-20)
		}
	}
	return edge
}

// newTrack makes one of a line; m is nil for what is of no mode.
func (s *Survey) newTrack(l *line, k Kind, m *mode.Mode, low, high float64) *track {
	f := s.frames
	b := f.bin(l.hz)
	t := &track{Finding: Finding{Kind: k, Hz: l.hz, LowHz: low, HighHz: high}, mode: m, shape: shapeOf(k, m), noise: l.floor}
	t.spots = []spot{{max(b-1, 0), min(b+1, f.bins-1)}}
	if noise := float64(s.spectrum.noise[b]); noise < t.noise && t.area() == nil {
		t.noise = max(noise, 0.3*t.noise)
	}
	return t
}

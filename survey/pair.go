package survey

import (
	"math"

	"ionoscribe/internal/mode"
)

// pairs is between what distances in Hz lines may be the tones of a pair.
func (s *lineSearch) pairs() (least, most float64) {
	least = math.Inf(1)
	for _, m := range s.modes {
		if p := m.Shape.Pair; p != nil {
			least, most = min(least, p.LeastShiftHz-nearerHz), max(most, p.MostShiftHz+furtherHz)
		}
	}
	return least, most
}

// partner is the line that sounds while l does not, if there is one; its envelope is in env[0].
func (s *lineSearch) partner(l *line, from, to int64) (best *line, c float64) {
	c = leastPair
	tried := 0
	least, most := s.pairs()
	for _, o := range s.lines.list {
		d := math.Abs(o.hz - l.hz)
		if tried == mostPartners {
			break
		}
		if o == l || d < least || d > most || o.seen < leastLooks || o.density < l.density/partnerRange || o.density > partnerRange*l.density {
			continue
		}
		tried++
		s.env[1] = s.judging.cutter.envelope(s.env[1][:0], o.hz, from, to)
		// That of unequal tones is spoilt by what leaks from the stronger one: prefer equal ones.
		v := correlation(s.env[0], s.env[1])
		if v >= c && best == nil && inTurn(s.env[0], s.env[1]) {
			v = math.Nextafter(c, -1) // any other is better
		}
		if v < c {
			best, c = o, v
		}
	}
	for _, t := range s.tracks.list { // the other tone may have been taken for a keyed one, or for a carrier as long as nothing was sent
		d := math.Abs(t.Hz - l.hz)
		if t.shape.Line == nil && t.Kind != Carrier || d < least || d > most || s.frames.count-t.heard > heardFrames {
			continue
		}
		s.env[1] = s.judging.cutter.envelope(s.env[1][:0], t.Hz, from, to)
		if v := correlation(s.env[0], s.env[1]); v < min(c, surePair) {
			best, c = &line{peak: peak{t.Hz, l.density, l.floor}, trial: trial{track: t}}, v
		}
	}
	return best, c
}

// tryPair has two lines judged as the tones of a pair, by the judges of all modes that are one.
func (s *lineSearch) tryPair(a, b *line, age float64, last bool) bool {
	length := s.stretchOf(a, age, firstStretch)
	if length == 0 {
		return false
	}
	low, high := min(a.hz, b.hz), max(a.hz, b.hz)
	middle, apart := (low+high)/2, high-low
	c := s.pairCut(low, high, a.floor, b.trial.track)
	var best *mode.Mode
	var is mode.Verdict
	for _, m := range s.modes {
		p := m.Shape.Pair
		if p == nil || apart < p.LeastShiftHz-nearerHz || apart > p.MostShiftHz+furtherHz || p.LongestSeconds != 0 && age > p.LongestSeconds {
			continue
		}
		var guess mode.Settings
		if a.trial.tries%freeTurn != freeTurn-1 {
			guess = p.Guess(apart)
		}
		v := s.judging.judge(m, length, c, guess)
		if !believed(v, m, last) || v.Confidence <= is.Confidence {
			continue
		}
		shift, baud := p.Tones(v.Settings)
		if off := max(math.Abs(shift-apart)/2, math.Abs(v.Hz-m.Shape.CutHz)); off > max(offHz, offBauds*baud) {
			continue
		}
		best, is = m, v
	}
	if best == nil {
		return false
	}
	if t := b.trial.track; t != nil { // such as a pair takes the place of
		t.Kind, t.mode, t.shape = Carrier, nil, carrierShape
	}
	t := s.newTrack(a, Kind(best.Name), best, low, high)
	t.setPair(s.frames, is, middle+is.Hz-best.Shape.CutHz)
	s.tracker.open(t, s.gauge.lastThere(t))
	return true
}

// pairCut is a pair as a candidate; t, if not nil, is a track that is taken for one of its tones.
func (s *lineSearch) pairCut(low, high, noise float64, t *track) candidate {
	if t != nil {
		defer t.aside()()
	}
	margin := pairMargin(high - low)
	return candidate{s.tracks.free(low-margin, low), s.tracks.free(high+margin, high), (low + high) / 2, noise}
}

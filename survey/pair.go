package survey

import (
	"math"

	"ionoscribe/internal/mode"
)

// pairs is between what distances in Hz the tones of pairs are.
func (s *Survey) pairs() (least, most float64) {
	least = math.Inf(1)
	for _, m := range s.config.Modes {
		if p := m.Shape.Pair; p != nil {
			least, most = min(least, p.LeastShiftHz), max(most, p.MostShiftHz)
		}
	}
	return least, most
}

// pairMargin is what a cut has beside the tones of a pair, in Hz.
func pairMargin(shiftHz float64) float64 { return min(max(0.6*shiftHz, 100), 300) }

// leastChars is how many characters a judge must have printed.
const leastChars = 4

// tryPair has two lines judged as the tones of a pair, by the judges of all modes that are one.
func (s *Survey) tryPair(a, b *line, age float64, last bool) bool {
	low, high := min(a.hz, b.hz), max(a.hz, b.hz)
	margin := pairMargin(high - low)
	to := s.frames.end()
	from := to - s.stretchOf(a, age, firstStretch)
	if to == from {
		return false
	}
	back := func() {}
	if b.track != nil {
		back = b.track.aside()
	}
	cutLow, cutHigh := s.free(low-margin, low), s.free(high+margin, high)
	back()
	var best *mode.Mode
	var is mode.Verdict
	for _, m := range s.config.Modes {
		p := m.Shape.Pair
		if p == nil || high-low < p.LeastShiftHz-8 || high-low > p.MostShiftHz+10 || p.LongestSeconds != 0 && age > p.LongestSeconds {
			continue
		}
		var guess mode.Settings
		if a.tries%3 != 2 {
			guess = p.Guess(high - low)
		}
		v := s.judge(m, from, to, cutLow, cutHigh, (low+high)/2, a.floor, guess)
		if !v.Is || v.Characters < leastChars && !last || v.Sure < m.Shape.LeastSure || v.Confidence <= is.Confidence {
			continue
		}
		shift, baud := p.Tones(v.Settings)
		if off := max(math.Abs(shift-(high-low))/2, math.Abs(v.Hz-m.Shape.CutHz)); off > max(25, 0.6*baud) {
			continue // those are other tones
		}
		best, is = m, v
	}
	if best == nil {
		return false
	}
	if b.track != nil { // such as a pair takes the place of
		b.track.Kind, b.track.mode, b.track.shape = Carrier, nil, carrierShape
	}
	hz := (low+high)/2 + is.Hz - best.Shape.CutHz
	shift, _ := best.Shape.Pair.Tones(is.Settings)
	t := s.newTrack(a, Kind(best.Name), best, hz-shift/2-20, hz+shift/2+20)
	s.setPair(t, is, hz)
	s.open(t, s.lastThere(t))
	return true
}

// setPair gives a track what a judge heard.
func (s *Survey) setPair(t *track, v mode.Verdict, hz float64) {
	shift, baud := t.shape.Pair.Tones(v.Settings)
	t.Hz, t.Settings, t.Confidence = hz, v.Settings, v.Confidence
	half := baud/2 + 10
	t.LowHz, t.HighHz = hz-shift/2-half, hz+shift/2+half
	f := s.frames
	reach := baud / 3
	t.spots = t.spots[:0]
	for _, tone := range []float64{hz - shift/2, hz + shift/2} {
		p := spot{f.bin(tone - reach), f.bin(tone + reach)}
		for p.high-p.low < 2 && p.high < f.bins-1 {
			p.high++
		}
		t.spots = append(t.spots, p)
	}
}

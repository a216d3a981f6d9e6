package survey

import (
	"math"

	"ionoscribe/internal/mode"
)

const (
	keyingReachHz  = 20.0 // of the lines of Morse of 50 words a minute, 20.8 Hz (PARIS: 50 units a word)
	carrierReachHz = 12.0 // within which a carrier is that which was found: three bins
	carrierHalfHz  = 15.0 // around it that holds its power
	// A tone of a pair is measured over keyedReach of its rate, and no nearer to the middle than nearMiddle of the shift.
	keyedReach, nearMiddle = 0.6, 0.45
	// pairOffHz is how far the middle of two tones is off the judge's at most: further off, one of them was not sent.
	pairOffHz = 12.0
	// An area's lines are those of its picture after pictureSeconds, and before if they are within lineOffHz of what the judge
	// says: control tones have other ones.
	pictureSeconds, lineOffHz = 15.0, 30.0
)

// measure brings the figures of a track up to date, from the mean of all that was heard of it.
func (t *track) measure(f *frames) {
	m := &t.sum
	switch {
	case t.Kind == Carrier || t.shape.Line != nil:
		hz := m.peak(t.Hz, carrierReachHz)
		if t.shape.Line != nil { // whose lines are as wide as its keying
			hz = m.centroid(m.centroid(hz, keyingReachHz), keyingReachHz)
		}
		t.LowHz, t.HighHz = t.LowHz+hz-t.Hz, t.HighHz+hz-t.Hz
		t.Hz = hz
		if t.shape.Line == nil { // else that with the key down, by its judge
			t.SNR = m.snr(hz-carrierHalfHz, hz+carrierHalfHz)
		}
	case t.shape.Pair != nil:
		shift, baud := t.shape.Pair.Tones(t.Settings)
		half, reach := shift/2, min(keyedReach*baud, nearMiddle*shift)
		a, b := m.centroid(t.Hz-half, reach), m.centroid(t.Hz+half, reach)
		if hz := (a + b) / 2; math.Abs(hz-t.Hz) < pairOffHz {
			t.Hz = hz
		}
		t.SNR = m.snr(t.LowHz, t.HighHz)
	case t.area() != nil:
		reach := t.area().ReachHz
		hz := t.areaCentre()
		t.SNR = m.snr(t.LowHz, t.HighHz)
		if m.frames > pictureSeconds/f.hopS || math.Abs(hz-t.Hz) < lineOffHz {
			t.Hz, t.LowHz, t.HighHz = hz, hz-reach, hz+reach
			t.spots[0] = spot{f.bin(t.LowHz), f.bin(t.HighHz)}
		}
	default:
		t.SNR = m.snr(t.LowHz, t.HighHz)
	}
	t.level = m.top()
}

const (
	sameShiftHz, sameMiddleHz = 12.0, 8.0 // tones that differ by less are the same: two bins
	// explainedShare of the power of the known tones others must have to be believed.
	explainedShare = 0.8
)

// fits says that other tones than those known explain the power as well: what a judge takes for one may be a sideband.
func (t *track) fits(v mode.Verdict) bool {
	centre := t.Hz + v.Hz - t.shape.CutHz
	known, _ := t.shape.Pair.Tones(t.Settings)
	shift, baud := t.shape.Pair.Tones(v.Settings)
	if math.Abs(shift-known) < sameShiftHz && math.Abs(centre-t.Hz) < sameMiddleHz {
		return true
	}
	reach := baud * toneReach
	near := func(hz float64) float64 { return t.sum.within(hz-reach, hz+reach) }
	at := func(hz, shift float64) float64 { return near(hz-shift/2) + near(hz+shift/2) }
	return at(centre, shift) > explainedShare*at(t.Hz, known)
}

// mean is the mean density in the strongest of the spots, over the noise.
func (t *track) mean() (level float64) {
	for _, p := range t.spots {
		level = max(level, t.sum.mean(p))
	}
	return level
}

const (
	centreOffHz  = 200.0 // that the middle of an area may be off what the judge says
	levelReachHz = 9.0   // two bins
)

// areaCentre is the middle of what fills an area by the lines of its two levels in the mean of all of it.
func (t *track) areaCentre() float64 {
	m := &t.sum
	best, top, deviation := t.Hz, 0.0, t.area().DeviationHz
	for h := t.Hz - centreOffHz; h <= t.Hz+centreOffHz; h++ {
		// Roots, so that one line alone, which is of one level, does not tell as much as both.
		if v := math.Sqrt(m.at(h-deviation)) + math.Sqrt(m.at(h+deviation)); v > top {
			best, top = h, v
		}
	}
	// The stronger of both lines says it to a fraction of a bin.
	low, high := best-deviation, best+deviation
	if m.at(low) > m.at(high) {
		return m.peak(low, levelReachHz) + deviation
	}
	return m.peak(high, levelReachHz) - deviation
}

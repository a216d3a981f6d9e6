package survey

import (
	"math"

	"ionoscribe/internal/mode"
)

// measure brings the figures of a track up to date, from the mean of all that was heard of it.
func (s *Survey) measure(t *track) {
	f := s.frames
	switch {
	case t.Kind == Carrier || t.shape.Line != nil:
		hz := t.peakIn(f, t.Hz, 12)
		if t.shape.Line != nil { // whose lines are as wide as its keying
			hz = t.centroid(f, t.centroid(f, hz, keyingReachHz), keyingReachHz)
		}
		t.LowHz, t.HighHz = t.LowHz+hz-t.Hz, t.HighHz+hz-t.Hz
		t.Hz = hz
		if t.shape.Line == nil { // else that with the key down, by its judge
			t.SNR = t.snr(f, hz-15, hz+15)
		}
	case t.shape.Pair != nil:
		shift, baud := t.shape.Pair.Tones(t.Settings)
		half, reach := shift/2, min(0.6*baud, 0.45*shift)
		a, b := t.centroid(f, t.Hz-half, reach), t.centroid(f, t.Hz+half, reach)
		if hz := (a + b) / 2; math.Abs(hz-t.Hz) < 12 {
			t.Hz = hz
		}
		t.SNR = t.snr(f, t.LowHz, t.HighHz)
	case t.area() != nil:
		reach := t.area().ReachHz
		hz := t.areaCentre(f, t.Hz)
		t.SNR = t.snr(f, t.LowHz, t.HighHz)
		if t.counted > 15/f.hopS || math.Abs(hz-t.Hz) < 30 { // start tones alone have other lines
			t.Hz, t.LowHz, t.HighHz = hz, hz-reach, hz+reach
			t.spots[0] = spot{f.bin(t.LowHz), f.bin(t.HighHz)}
		}
	default:
		t.SNR = t.snr(f, t.LowHz, t.HighHz)
	}
	t.level = 0
	for _, v := range t.total {
		t.level = max(t.level, v/max(t.counted, 1))
	}
}

const keyingReachHz = 20.0

// Judgements that follow the first, in seconds after it.
const (
	secondSeconds = 9.0
	laterSeconds  = 12.0
	mostJudged    = 3
)

// again has a track judged again, on more of it: what is known of it may have been wrong.
func (s *Survey) again(t *track) {
	now := s.frames.count
	if t.next == 0 {
		t.next = now + int64(secondSeconds/s.frames.hopS)
		return
	}
	if now < t.next || t.judged >= mostJudged || now-t.heard > 2*lookFrames || !s.budget.admits(againChance, false) {
		return
	}
	defer s.settle()
	t.next = now + int64(laterSeconds/s.frames.hopS)
	t.judged++
	s.measure(t)
	before := t.Finding
	to := s.frames.end()
	from := to - s.stretch(12)
	if from == to {
		return
	}
	switch {
	case t.shape.Pair != nil:
		shift, _ := t.shape.Pair.Tones(t.Settings)
		low, high, margin := t.Hz-shift/2, t.Hz+shift/2, pairMargin(shift)
		v := s.judge(t.mode, from, to, s.freeOf(t, low-margin, low), s.freeOf(t, high+margin, high), t.Hz, t.noise, t.shape.Pair.Guess(shift))
		if v.Is && v.Characters > 8 && v.Sure > t.shape.LeastSure+0.1 && s.fits(t, v) {
			s.setPair(t, v, t.Hz+v.Hz-t.shape.CutHz)
			t.judged = mostJudged
		}
	case t.shape.Line != nil:
		v := s.judge(t.mode, from, to, s.freeOf(t, t.Hz-lineMarginHz, t.Hz), s.freeOf(t, t.Hz+lineMarginHz, t.Hz), t.Hz, t.noise, t.Settings)
		if v.Is && v.Characters > 4 {
			t.Settings, t.SNR, t.Confidence = v.Settings, v.SNR, v.Confidence
			t.judged = mostJudged
		}
	case t.area() != nil:
		a := t.area()
		if a.Complete(t.Settings) {
			return
		}
		v := s.judge(t.mode, from, to, s.freeOf(t, t.Hz-a.CutHz, t.Hz-a.ReachHz), s.freeOf(t, t.Hz+a.CutHz, t.Hz+a.ReachHz), t.Hz, t.noise, nil)
		if v.Is {
			t.Settings = a.Learn(t.Settings, v.Settings)
		}
	}
	if t.Finding != before {
		s.tell(s.events.Changed, t)
	}
}

// fits says that other tones than those known explain the power as well: what a judge takes for one may be a sideband.
func (s *Survey) fits(t *track, v mode.Verdict) bool {
	centre := t.Hz + v.Hz - t.shape.CutHz
	known, _ := t.shape.Pair.Tones(t.Settings)
	shift, baud := t.shape.Pair.Tones(v.Settings)
	if math.Abs(shift-known) < 12 && math.Abs(centre-t.Hz) < 8 {
		return true
	}
	at := func(hz, shift, reach float64) float64 {
		return t.sum(s.frames, hz-shift/2, reach) + t.sum(s.frames, hz+shift/2, reach)
	}
	return at(centre, shift, baud/3) > 0.8*at(t.Hz, known, baud/3)
}

// sum is what is over the noise within reach of a frequency.
func (t *track) sum(f *frames, hz, reach float64) (sum float64) {
	for i, v := range t.total {
		if math.Abs(f.hz(float64(t.lowBin+i))-hz) <= reach {
			sum += v - t.noise*t.counted
		}
	}
	return sum
}

// freeOf is free without the track itself.
func (s *Survey) freeOf(t *track, edge, hz float64) float64 {
	defer t.aside()()
	return s.free(edge, hz)
}

// aside temporarily ignores this track's edges, until the function it returns is called.
func (t *track) aside() func() {
	low, high := t.LowHz, t.HighHz
	t.LowHz, t.HighHz = math.Inf(-1), math.Inf(1)
	return func() { t.LowHz, t.HighHz = low, high }
}

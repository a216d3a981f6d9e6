package survey

import (
	"math"

	"ionoscribe/rtty"
)

// measure brings the figures of a track up to date, from the mean of all that was heard of it.
func (s *Survey) measure(t *track) {
	f := s.frames
	switch t.Kind {
	case Carrier, Morse:
		snr := t.SNR
		hz := t.peakIn(f, t.Hz, 12)
		if t.Kind == Morse { // whose lines are as wide as its keying
			hz = t.centroid(f, t.centroid(f, hz, morseReachHz), morseReachHz)
		}
		t.LowHz, t.HighHz = t.LowHz+hz-t.Hz, t.HighHz+hz-t.Hz
		t.Hz = hz
		t.SNR = t.snr(f, hz-15, hz+15)
		if t.Kind == Morse {
			t.SNR = snr // key down, by the decoder
		}
	case Teleprinter:
		half, reach := t.ShiftHz/2, min(0.6*t.Baud, 0.45*t.ShiftHz)
		a, b := t.centroid(f, t.Hz-half, reach), t.centroid(f, t.Hz+half, reach)
		if hz := (a + b) / 2; math.Abs(hz-t.Hz) < 12 {
			t.Hz = hz
		}
		t.SNR = t.snr(f, t.LowHz, t.HighHz)
	case Fax:
		hz := t.chartCentre(f, t.Hz)
		t.SNR = t.snr(f, t.LowHz, t.HighHz)
		if t.counted > 15/f.hopS || math.Abs(hz-t.Hz) < 30 { // start tones alone have other lines
			t.Hz, t.LowHz, t.HighHz = hz, hz-faxReachHz, hz+faxReachHz
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

const morseReachHz = 20.0

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
	switch t.Kind {
	case Teleprinter:
		half := t.ShiftHz / 2
		margin := min(max(0.6*t.ShiftHz, 100), 300)
		audio, rate := s.cutter.cut(from, to, s.freeOf(t, t.Hz-half-margin, t.Hz-half), s.freeOf(t, t.Hz+half+margin, t.Hz+half), t.Hz, rttyAudioHz, t.noise)
		if st, chars, sure := s.judges.teleprinter(audio, rate, t.ShiftHz); st.Receiving && chars > 8 && sure > 0.6 && s.fits(t, st) {
			s.setTeleprinter(t, st, t.Hz+st.CentreHz-rttyAudioHz, sure)
			t.judged = mostJudged
		}
	case Morse:
		audio, rate := s.cutter.cut(from, to, s.freeOf(t, t.Hz-90, t.Hz), s.freeOf(t, t.Hz+90, t.Hz), t.Hz, cwAudioHz, t.noise)
		if st, chars, sure := s.judges.morse(audio, rate, t.WPM); st.Receiving && chars > 4 {
			t.WPM, t.SNR, t.Confidence = st.WPM, st.SNR, min(0.4+0.6*sure, 0.99)
			t.judged = mostJudged
		}
	case Fax:
		if t.LPM != 0 {
			return
		}
		audio, rate := s.cutter.cut(from, to, s.freeOf(t, t.Hz-faxCutHz, t.Hz-faxReachHz), s.freeOf(t, t.Hz+faxCutHz, t.Hz+faxReachHz), t.Hz, faxAudioHz, t.noise)
		if st := s.judges.chart(audio, rate); st.Receiving && st.LPM != 0 {
			t.LPM = st.LPM
		}
	}
	if t.Finding != before {
		s.tell(s.events.Changed, t)
	}
}

// fits says that other tones than those known explain the power as well: what a judge takes for one may be a sideband.
func (s *Survey) fits(t *track, st rtty.State) bool {
	centre := t.Hz + st.CentreHz - rttyAudioHz
	if math.Abs(st.ShiftHz-t.ShiftHz) < 12 && math.Abs(centre-t.Hz) < 8 {
		return true
	}
	at := func(hz, shift, reach float64) float64 {
		return t.sum(s.frames, hz-shift/2, reach) + t.sum(s.frames, hz+shift/2, reach)
	}
	return at(centre, st.ShiftHz, st.Baud/3) > 0.8*at(t.Hz, t.ShiftHz, st.Baud/3)
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

// aside has a track bound nothing until the function it returns is called.
func (t *track) aside() func() {
	low, high := t.LowHz, t.HighHz
	t.LowHz, t.HighHz = math.Inf(-1), math.Inf(1)
	return func() { t.LowHz, t.HighHz = low, high }
}

package survey

import "ionoscribe/internal/mode"

// lineSearch finds out what lines are.
type lineSearch struct {
	frames   *frames
	spectrum *spectrum
	lines    *lines
	seekers  *seekers
	tracks   *tracks
	gauge    *gauge
	judging  *judging
	tracker  *tracker
	modes    []*mode.Mode
	env      [2][]float32 // envelopes: of the line that is tried, and of a partner
	keying   keying
}

// trial is what was tried to find out what a line is.
type trial struct {
	tries  int
	judged float64 // seconds, lately
	vain   int64   // frame in which it was judged in vain as the partner of one
	vainHz float64 // at this frequency
	waited bool    // for credit,
	chance float64 // as it was when it was looked at,
	asked  int64   // in that frame
	next   int64   // frame of the next; -1: the last one was tried
	track  *track  // it is no line but that of a track
}

// admits says whether there is credit to judge a line as something that it is with some chance, which is kept in case it has to wait.
func (s *lineSearch) admits(l *line, chance float64, last bool) bool {
	l.trial.chance = chance
	return s.judging.admits(l.hz, chance, last)
}

// stretchOf is the stretch to judge a line by that may be told by so many seconds: not all of it, if it had to wait.
func (s *lineSearch) stretchOf(l *line, age, clear float64) int64 {
	const longer = 1.5 // than the last that was judged
	if l.trial.waited {
		age = min(age, max(clear, longer*l.trial.judged)-1)
	}
	n := s.judging.stretch(age + 1)
	l.trial.judged = float64(n) / s.frames.rate
	return n
}

// newTrack makes one of a line; m is nil for what is of no mode.
func (s *lineSearch) newTrack(l *line, k Kind, m *mode.Mode, low, high float64) *track {
	const leastNoise = 0.3 // of the floor: less was a gap in the noise
	f := s.frames
	b := f.bin(l.hz)
	t := &track{Finding: Finding{Kind: k, Hz: l.hz, LowHz: low, HighHz: high}, mode: m, shape: shapeOf(k, m), noise: l.floor}
	t.spots = []spot{{max(b-1, 0), min(b+1, f.bins-1)}}
	if noise := float64(s.spectrum.noise[b]); noise < t.noise && t.area() == nil {
		t.noise = max(noise, leastNoise*t.noise)
	}
	return t
}

// believed says that a judge knows a mode, and is sure enough; at last, when there is no more to come, with few characters too.
func believed(v mode.Verdict, m *mode.Mode, last bool) bool {
	return v.Is && (v.Characters >= leastChars || last) && v.Sure >= m.Shape.LeastSure
}

// lineCut is a line as a candidate.
func (s *lineSearch) lineCut(l *line, marginHz float64) candidate {
	return candidate{s.tracks.free(l.hz-marginHz, l.hz), s.tracks.free(l.hz+marginHz, l.hz), l.hz, l.floor}
}

const (
	// nearerHz and furtherHz are by how much lines may be nearer or further apart than the shifts of a mode: two bins.
	nearerHz, furtherHz = 8.0, 10.0
	// partnerRange is by how much the densities of both lines may differ: 20 dB, as in a fade of one of them (Rayleigh: 1 %).
	partnerRange = 100.0
	leastLooks   = 2 // that saw a partner
	mostPartners = 8
	// leastPair is the correlation of the tones of a pair, at most; of two lines below surePair it is nearly certain that they are one.
	leastPair, surePair = -0.25, -0.5
	firstStretch        = 8.0  // seconds that tell a pair
	pairAge             = 12.0 // seconds before a line that has a partner may be something else
	// leastChars is how many characters a judge must have printed.
	leastChars = 4
	// A judge that hears tones that are further from the lines than offHz, or offBauds of its rate, hears other ones.
	offHz, offBauds = 25.0, 0.6
	freeTurn        = 3 // each third judgement is without a guess, in case it is wrong
)

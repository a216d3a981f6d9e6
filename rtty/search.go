package rtty

import (
	"math"

	"ionoscribe/demod/fsk"
)

const (
	searchBlocks   = 4  // from look to look
	spectrumBlocks = 28 // 3 s that a spectrum is of
	leastBlocks    = 6  // that a signal is looked for in
	onsetBlocks    = 19 // 2 s without tones, which no fade lasts, and a signal has begun after
	mostPairs      = 3

	// Pairs are tried at leisure, one in 24 blocks, but some at once: music would have new ones all the time.
	trialEvery = 24.0
	mostCredit = 9.0

	// A pair that was no signal is tried again after a while, each time twice as long, up to 7 s.
	mostWait      = 64  // blocks
	patientWait   = 32  // after which it is tried on a longer stretch,
	patientBlocks = 192 // 20 s
	samePairHz    = 20.0
	rememberBad   = 12 // pairs

	// leastPower is the power of the tones over what is heard in them while they are off: two tones at a time are no
	// keying. leastMean is the evidence of a character in the mean, which is 1 for a clear signal and 0.7 at -9 dB; what
	// music has of it at high rates is mostly below 0.5.
	leastPower = 3.0
	leastMean  = 0.55
	// After hopelessCount characters with less evidence than hopelessMean for each, and than hopelessLead, a supposition
	// is given up.
	hopelessCount = 8
	hopelessMean  = 0.1
	hopelessLead  = 1.5

	// leastLead is the evidence of start-stop that makes a signal one. A look makes some sixty suppositions; of
	// pure chance one in exp(22) would reach it, and 1400 looks an hour leave one in thousands of hours. Music is not
	// chance: with 16 it printed in every fourth trial of ten minutes, with 22 in none of sixteen.
	leastLead = 22.0
	// orderedLead is enough where a signal is expected, because something was ordered, and at the end, when there will
	// be no more of it.
	orderedLead = 16.0
	// clearlyBetter is by how much another supposition must explain a signal better than that by which it is received:
	// the levels, and with them the merits, are good to some per cent. better is for one that is waited for: of a signal
	// and the same at half its rate the structure differs by 1 %, half an element's ln 2 of the 60 that one explains.
	clearlyBetter = 1.03
	better        = 1.01
	likelyLead    = 6.0 // that of a supposition which is waited for if it explains the signal better than others
	// tuneRangeHz is how far off an ordered centre is searched, shiftRange by how much of an ordered shift.
	tuneRangeHz = 30.0
	shiftRange  = 0.2
)

// pair is two tones that may be mark and space.
type pair struct {
	lower, upper fsk.Peak
}

// found is a supposition that came true.
type found struct {
	pair     pair
	kind     kind
	baud     float64
	hz       [2]float64 // tuned, of mark and space as the channel has them: lower and upper
	drift    float64
	lead     float64
	merit    float64
	plain    float64 // merit without heed to novelty
	from, to int64   // blocks it was tried on
}

// failed is a pair that was no signal.
type failed struct {
	lower, upper float64 // Hz
	wait, next   int64   // blocks
}

// search looks for signals in what was heard.
type search struct {
	config      Config
	bauds       []float64
	spectrum    *fsk.Spectrum
	peaks       []fsk.Peak
	pairs       []pair
	failed      [rememberBad]failed
	last        bool     // there is no later
	present     *channel // what is received now is replaced only by what is clearly better
	presentKind kind
	credit      float64 // pairs that may be tried
	looked      int64   // block
	trial       *channel
	trellis     []*trellis // for the trial, as many as there may be kinds
	kinds       [][]kind   // tried at each of the rates
	lead        [8]float64 // evidence for each of them
	count       [8]float64 // from so many characters, each by its novelty
	seen        [8]int     // characters
	plain       [8]float64 // evidence of them without heed to novelty
	repeated    float64    // merit of what explains a pair best, be it but a repetition
	frames      []frame
	listened    int64 // blocks in all that suppositions were tried on
}

func newSearch(c Config) *search {
	s := &search{config: c, spectrum: fsk.NewSpectrum(), trial: new(channel), frames: make([]frame, 0, 256),
		peaks: make([]fsk.Peak, 0, fsk.MostPeaks+1), pairs: make([]pair, 0, mostPairs)}
	for _, b := range Bauds {
		if b == 74.2 {
			continue // 75 Bd finds it
		}
		s.bauds = append(s.bauds, b)
	}
	if c.Baud != 0 {
		s.bauds = []float64{c.Baud}
	}
	most := 0
	for _, b := range s.bauds {
		var kinds []kind
		for _, a := range c.alphabets(b) {
			if c.Polarity != MarkHigher {
				kinds = append(kinds, kind{a, false})
			}
			if c.Polarity != MarkLower {
				kinds = append(kinds, kind{a, true})
			}
		}
		s.kinds = append(s.kinds, kinds)
		most = max(most, len(kinds))
	}
	for range most {
		s.trellis = append(s.trellis, new(trellis))
	}
	return s
}

// look says what is heard best in the blocks from first on.
func (s *search) look(f *fsk.Front, first int64) (best found, ok bool) {
	if f.Ready()-first < leastBlocks {
		return best, false
	}
	s.credit = min(s.credit+float64(f.Ready()-s.looked)/trialEvery, mostCredit)
	s.looked = f.Ready()
	s.spectrum.Measure(f, max(first, f.Ready()-spectrumBlocks), f.Ready())
	s.pair()
	best.merit = math.Inf(-1)
	var tried [mostPairs]bool
	for i, p := range s.pairs {
		bad := s.recall(p, f.Ready())
		if f.Ready() < bad.next || s.credit < 1 {
			continue
		}
		s.credit--
		tried[i] = true
		bad.wait = min(max(2*bad.wait, searchBlocks), mostWait)
		bad.next = f.Ready() + bad.wait
		s.tryRates(f, p, first, bad.wait >= patientWait || s.last, &best)
	}
	if best.lead < s.enough() {
		return best, false
	}
	for i, p := range s.pairs { // those that wait may be better
		if !tried[i] {
			s.tryRates(f, p, first, false, &best)
		}
	}
	return best, best.lead >= s.enough()
}

// enough is the evidence needed before a pair of tones counts as a signal.
func (s *search) enough() float64 {
	if c := &s.config; s.last || c.Baud != 0 || c.ShiftHz != 0 || c.CentreHz != 0 {
		return orderedLead
	}
	return leastLead
}

// tryRates tries a pair at all rates, from when it began; patiently is on a longer stretch, for someone who types.
func (s *search) tryRates(f *fsk.Front, p pair, first int64, patiently bool, best *found) {
	first = s.spectrum.Onset(f, p.lower, p.upper, first, onsetBlocks)
	if f.Ready()-first < leastBlocks {
		return
	}
	s.repeated = math.Inf(-1)
	own := found{merit: math.Inf(-1)} // what the pair may be
	for i, baud := range s.bauds {
		if p.upper.Hz-p.lower.Hz < 0.5*baud {
			continue
		}
		blocks := trialBlocks(baud)
		switch {
		case patiently:
			blocks = patientBlocks
		case s.present != nil: // what rates explain in a block compares only where the text is the same
			blocks = f.Ready() - first
		}
		s.try(f, p, baud, s.kinds[i], max(first, f.Ready()-blocks), &own)
	}
	// A letter repeated is no proof of a signal, but at another rate it may make more than one letter.
	slower := min(own.baud, best.baud)
	if own.lead == 0 || s.repeated > better*own.plain || p.sideband(best.pair, slower) ||
		own.merit <= best.merit && !best.pair.sideband(p, slower) {
		return
	}
	*best = own
}

// differs says whether f is another signal than the one that c receives.
func (f *found) differs(c *channel, k kind) bool {
	return f.kind != k || math.Abs(f.baud/c.Baud()-1) > 0.03 ||
		math.Abs(f.hz[0]-c.Hz()[0]) > samePairHz || math.Abs(f.hz[1]-c.Hz()[1]) > samePairHz
}

// shares says whether f differs from the signal that c receives in one of the tones alone.
func (f *found) shares(c *channel, k kind) bool {
	return f.kind == k && math.Abs(f.baud/c.Baud()-1) <= 0.03 &&
		(math.Abs(f.hz[0]-c.Hz()[0]) <= samePairHz || math.Abs(f.hz[1]-c.Hz()[1]) <= samePairHz)
}

// sideband says whether p has one tone in common with q, and for the other one a sideband of q's tones. In a clear
// signal sidebands are far above the noise, and keyed as their tone is. Reversals of a tone at a distance of d Hz have
// lines with (baud/πd)² of its power (Fourier series of a square wave); sidebandShare allows for the rest of the keying.
func (p pair) sideband(q pair, baud float64) bool {
	const sidebandShare = 3
	near := func(a, b fsk.Peak) bool { return math.Abs(a.Hz-b.Hz) <= samePairHz }
	of := func(a, b fsk.Peak) bool {
		d := math.Pi * (a.Hz - b.Hz)
		return !near(a, b) && a.Power*d*d < sidebandShare*baud*baud*b.Power
	}
	other := func(a fsk.Peak) bool {
		return !near(a, q.lower) && !near(a, q.upper) && (of(a, q.lower) || of(a, q.upper))
	}
	switch {
	case near(p.lower, q.lower) || near(p.lower, q.upper):
		return other(p.upper)
	case near(p.upper, q.lower) || near(p.upper, q.upper):
		return other(p.lower)
	}
	return false
}

// pairOf is the pair that c receives, by the spectrum as it was measured last.
func (s *search) pairOf(c *channel) (p pair) {
	lower, upper := min(c.Hz()[fsk.Mark], c.Hz()[fsk.Space]), max(c.Hz()[fsk.Mark], c.Hz()[fsk.Space])
	return pair{fsk.Peak{Hz: lower, Power: s.spectrum.Tone(lower)}, fsk.Peak{Hz: upper, Power: s.spectrum.Tone(upper)}}
}

// trialBlocks is how long a supposition is tried, some 36 characters. Rates that are near each other are tried on the
// same stretch, so that it does not prefer one; and none on less than 2 s, because what is steady for a moment repeats
// itself quickly.
func trialBlocks(baud float64) int64 {
	switch {
	case baud < 60:
		return 56
	case baud < 120:
		return 36
	}
	return 20
}

// recall finds what is remembered of a pair, or makes room for it in place of what is longest ago.
func (s *search) recall(p pair, now int64) *failed {
	oldest := &s.failed[0]
	for i := range s.failed {
		bad := &s.failed[i]
		if bad.next > 0 && now < bad.next+mostWait && math.Abs(bad.lower-p.lower.Hz) < samePairHz && math.Abs(bad.upper-p.upper.Hz) < samePairHz {
			return bad
		}
		if bad.next < oldest.next {
			oldest = bad
		}
	}
	*oldest = failed{p.lower.Hz, p.upper.Hz, 0, 0}
	return oldest
}

// reset forgets all that was heard.
func (s *search) reset() {
	s.credit, s.looked = mostCredit, 0
	s.forget()
	s.spectrum.Forget()
}

// forget makes all pairs new.
func (s *search) forget() { s.failed = [rememberBad]failed{} }

// pair makes pairs of peaks, the likeliest first: those whose weaker tone is strongest.
func (s *search) pair() {
	low, high := LeastCentreHz-MostShiftHz/2, MostCentreHz+MostShiftHz/2
	c := &s.config
	if c.CentreHz != 0 {
		reach := MostShiftHz / 2
		if c.ShiftHz != 0 {
			reach = c.ShiftHz * (1 + shiftRange) / 2
		}
		low, high = c.CentreHz-reach-tuneRangeHz, c.CentreHz+reach+tuneRangeHz
	}
	s.peaks = s.spectrum.Peaks(s.peaks[:0], low, high)
	s.pairs = s.pairs[:0]
	for i, a := range s.peaks {
		for _, b := range s.peaks[:i] {
			p := pair{a, b}
			if a.Hz > b.Hz {
				p = pair{b, a}
			}
			if s.allowed(p) && len(s.pairs) < mostPairs {
				s.pairs = append(s.pairs, p) // peaks come by strength, and a is the weaker
			}
		}
	}
}

func (s *search) allowed(p pair) bool {
	c := &s.config
	shift, centre := p.upper.Hz-p.lower.Hz, (p.upper.Hz+p.lower.Hz)/2
	switch {
	case shift < LeastShiftHz-fsk.LineHz || shift > MostShiftHz+fsk.LineHz:
		return false
	case centre < LeastCentreHz-fsk.LineHz || centre > MostCentreHz+fsk.LineHz:
		return false
	case c.ShiftHz != 0 && math.Abs(shift-c.ShiftHz) > max(shiftRange*c.ShiftHz, fsk.LineHz):
		return false
	case c.CentreHz != 0 && math.Abs(centre-c.CentreHz) > tuneRangeHz:
		return false
	}
	return true
}

// try supposes a signal and notes it if it is the best of a pair.
func (s *search) try(f *fsk.Front, p pair, baud float64, kinds []kind, from int64, best *found) {
	t := s.trial
	t.trellis = s.trellis[:len(kinds)]
	s.start(t, p, baud, [2]float64{p.lower.Hz, p.upper.Hz}, kinds, from)
	s.lead, s.count, s.seen, s.plain = [8]float64{}, [8]float64{}, [8]int{}, [8]float64{}
	t.FixNoise()
	for b := from; b < f.Ready(); b++ {
		t.listen(f.Block(b))
		s.listened++
		hopeless := true
		for i, r := range t.trellis {
			s.frames = r.decide(s.frames[:0], &t.Levels)
			for _, f := range s.frames {
				s.lead[i] += weighed(f)
				s.count[i] += f.novelty
				s.seen[i]++
				s.plain[i] += f.evidence
				if s.lead[i] <= 0 {
					s.lead[i], s.count[i] = 0, 0
				}
			}
			hopeless = hopeless && s.seen[i] >= hopelessCount && s.lead[i] < min(hopelessLead, hopelessMean*float64(s.seen[i]))
		}
		if t.Steady() {
			return
		}
		if hopeless {
			s.repeats(t, from, b+1)
			return
		}
	}
	s.repeats(t, from, f.Ready())
	if on, off := t.Power(); on < (1+leastPower)*off {
		return
	}
	for i, r := range t.trellis {
		lead := s.lead[i]
		merit := t.merit(r, lead, f.Ready()-from)
		if s.present != nil && !(&found{pair: p, kind: kinds[i], baud: baud, hz: t.Hz()}).differs(s.present, s.presentKind) {
			merit *= clearlyBetter
		}
		if lead < max(likelyLead, leastMean*s.count[i]) || merit <= best.merit {
			continue
		}
		*best = found{pair: p, kind: kinds[i], baud: baud, hz: t.Hz(), drift: t.Drift(),
			lead: lead, merit: merit, plain: t.merit(r, s.plain[i], f.Ready()-from), from: from, to: f.Ready()}
	}
}

// repeats notes how well a supposition explains its pair, if its characters are some, whether new or not.
func (s *search) repeats(t *channel, from, to int64) {
	for i, r := range t.trellis {
		if s.plain[i] >= max(likelyLead, leastMean*float64(s.seen[i])) {
			s.repeated = max(s.repeated, t.merit(r, s.plain[i], to-from))
		}
	}
}

// merit is how well a trellis explains what was heard in some blocks, with the evidence of its characters.
func (c *channel) merit(r *trellis, lead float64, blocks int64) float64 {
	return (r.score(&c.Levels)+lead)/float64(blocks) + c.UnknownPhase()*c.Baud()*fsk.BlockSeconds
}

// weighed is the evidence of a character for a signal: what speaks for it counts by its novelty.
func weighed(f frame) float64 {
	if f.evidence > 0 {
		return f.evidence * f.novelty
	}
	return f.evidence
}

// start prepares a channel for a pair.
func (s *search) start(c *channel, p pair, baud float64, hz [2]float64, kinds []kind, block int64) {
	var power, noise [2]float32
	// The sidebands of a pair reach as far as its shift at the usual rates (ITU-R SM.1138).
	shift := p.upper.Hz - p.lower.Hz
	floor := 1.1 * s.spectrum.Beside(p.lower.Hz-shift, p.upper.Hz+shift) * baud / fsk.LineHz
	floor = max(floor, max(p.lower.Power, p.upper.Power)/1000)
	for k, q := range []fsk.Peak{p.lower, p.upper} {
		power[k], noise[k] = float32(2*q.Power), float32(floor)
	}
	c.Begin(hz[0], hz[1], baud, power, noise, block)
	for i, r := range c.trellis {
		r.begin(kinds[i].alphabet.Units(), kinds[i].inverted, baud)
	}
}

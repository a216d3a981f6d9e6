package modeb

import (
	"math"
	"slices"

	"ionoscribe/demod/fsk"
)

const (
	spectrumBlocks = 28 // 3 s that a spectrum is of
	trialBlocks    = 28 // that a pair of tones is tried on: 21 characters
	leastBlocks    = 12 // of those at the least: 1.3 s
	searchBlocks   = 4  // from look to look
	mostTried      = 3  // pairs of tones that are tried at a time

	// enough is the evidence, in nats, that makes a signal one: an hour has some 3000 trials in 224 places; of so many chances of
	// exp(-24) one comes true in fifty thousand hours. A teleprinter whose characters have seven elements repeats itself, though.
	enough = 30.0

	// Pairs are tried at leisure, one in 12 blocks, but some at once: noise has new ones all the time.
	trialEvery = 12.0
	mostCredit = 4.0

	// trialStep is how many grid points are from place to place: a quarter of an element, which the receiver's timing puts right.
	trialStep = 2

	// A pair of tones that was no signal is tried again after a while, each time twice as long.
	leastWait, mostWait = 4, 32 // blocks
	sameHz              = 25.0
	remembered          = 8

	tuneRangeHz = 30.0 // around an ordered centre
)

// found is a signal.
type found struct {
	hz       [2]float64 // of B and Y if it is not inverted: the higher tone first
	power    [2]float32
	noise    float32
	inverted bool
	from     int64 // block that the channel begins with
	at       int64 // grid point of a DX place, since then
	since    int64 // grid point of the first character
	evidence float64
	fill     float64 // how well the filters are filled
}

// failed is a centre at which there was no signal.
type failed struct {
	hz         float64
	wait, next int64 // blocks
}

// search looks for signals in what was heard.
type search struct {
	config   Config
	spectrum *fsk.Spectrum
	failed   [remembered]failed
	credit   float64 // trials
	looked   int64   // block
	centres  []centre
	trial    fsk.Channel
	receiver receiver           // reckons, for the trial
	sum      [2][places]float64 // evidence of each place that characters may have, for either tone as B
	since    [2][places]int64   // grid point of the first character there
	fill     [places]float64    // how well filters are filled by elements there
	listened int64              // blocks in all that were tried
}

// centre is where a pair of tones may be.
type centre struct{ hz, power float64 }

func newSearch(c Config) *search {
	return &search{config: c, spectrum: fsk.NewSpectrum(), centres: make([]centre, 0, 400)}
}

func (s *search) reset() {
	s.failed = [remembered]failed{}
	s.credit, s.looked = mostCredit, 0
	s.spectrum.Forget()
}

// look says what is heard best in the blocks from first on.
func (s *search) look(f *fsk.Front, first int64, last bool) (best found, ok bool) {
	ready := f.Ready()
	if ready-first < leastBlocks {
		return best, false
	}
	s.spectrum.Measure(f, max(first, ready-spectrumBlocks), ready)
	s.find()
	s.credit = min(s.credit+float64(ready-s.looked)/trialEvery, mostCredit)
	s.looked = ready
	var tried [mostTried]bool
	for i, c := range s.centres {
		bad := s.recall(c.hz, ready)
		if (ready < bad.next || s.credit < 1) && !last {
			continue
		}
		s.credit--
		tried[i] = true
		bad.wait = min(max(2*bad.wait, leastWait), mostWait)
		bad.next = ready + bad.wait
		if g, is := s.try(f, c, max(first, ready-trialBlocks)); is && g.fill > best.fill {
			best, ok = g, true
		}
	}
	for i, c := range s.centres { // one tone alone is as legal as both; a centre that waits may be the right one
		if ok && !tried[i] {
			if g, is := s.try(f, c, max(first, ready-trialBlocks)); is && g.fill > best.fill {
				best = g
			}
		}
	}
	return best, ok
}

// find lists the likeliest centres: those whose weaker tone is strongest, for a tone may have faded, but a carrier has none beside it.
func (s *search) find() {
	low, high := LeastCentreHz, MostCentreHz
	if c := s.config.CentreHz; c != 0 {
		low, high = c-tuneRangeHz, c+tuneRangeHz
	}
	const step = fsk.LineHz / 2
	half := s.config.ShiftHz / 2
	s.centres = s.centres[:0]
	for hz := low; hz <= high; hz += step {
		a, b := s.spectrum.Tone(hz-half), s.spectrum.Tone(hz+half)
		s.centres = append(s.centres, centre{hz, min(a, b) + max(a, b, 0)/8})
	}
	slices.SortFunc(s.centres, func(a, b centre) int {
		switch {
		case a.power > b.power:
			return -1
		case a.power < b.power:
			return 1
		}
		return int(a.hz - b.hz)
	})
	kept := s.centres[:0]
	for _, c := range s.centres {
		near := slices.ContainsFunc(kept, func(k centre) bool { return math.Abs(k.hz-c.hz) < 2*sameHz })
		if !near && c.power > 0 && len(kept) < mostTried {
			kept = append(kept, c)
		}
	}
	s.centres = kept
}

// recall finds what is remembered of a centre, or makes room for it in place of what is longest ago.
func (s *search) recall(hz float64, now int64) *failed {
	oldest := &s.failed[0]
	for i := range s.failed {
		bad := &s.failed[i]
		if bad.next > 0 && now < bad.next+mostWait && math.Abs(bad.hz-hz) < sameHz {
			return bad
		}
		if bad.next < oldest.next {
			oldest = bad
		}
	}
	*oldest = failed{hz: hz}
	return oldest
}

// try listens to a pair of tones and reckons with characters in every place.
func (s *search) try(f *fsk.Front, c centre, from int64) (g found, ok bool) {
	g = s.pair(c.hz, from)
	s.start(&s.trial, g)
	s.trial.FixNoise()
	for k := range s.sum {
		clear(s.sum[k][:])
	}
	clear(s.fill[:])
	r := &s.receiver
	at := int64(0)
	for b := from; b < f.Ready(); b++ {
		s.trial.Listen(f.Block(b))
		s.listened++
		for ; at+spanned < s.trial.Done(); at += trialStep {
			s.fill[at%places] += s.filled(at) + s.filled(at+lag)
			for k := range s.sum {
				r.inverted = k == 1
				s.hear(&r.dx, at)
				s.hear(&r.rx, at+lag)
				v := &s.sum[k][at%places]
				if *v == 0 {
					s.since[k][at%places] = at
				}
				if *v = max(*v+evidence(&r.dx, &r.rx), 0); *v > g.evidence {
					g.evidence, g.at, g.inverted, g.since = *v, at, k == 1, s.since[k][at%places]
				}
			}
		}
	}
	g.hz = s.trial.Hz()
	// Characters are as likely as can be in neighbouring places too; the filters are filled best in one.
	off := int64(0)
	for d := int64(-fsk.PerElement / 2); d <= fsk.PerElement/2; d += trialStep {
		if s.fill[(g.at+d+places)%places] > s.fill[(g.at+off+places)%places] {
			off = d
		}
	}
	g.at += off + places // not before the beginning
	g.fill = s.fill[g.at%places]
	return g, g.evidence >= enough
}

// filled is how well filters are filled by seven elements, whatever they are.
func (s *search) filled(at int64) (sum float64) {
	for i := range int64(Units) {
		g := (at + i*fsk.PerElement) & fsk.GridMask
		sum += math.Abs(float64(s.trial.Likely[fsk.Mark][g] - s.trial.Likely[fsk.Space][g]))
	}
	return sum
}

// hear is that of a receiver, without heed to crashes and holes.
func (s *search) hear(l *likelihood, at int64) {
	r := &s.receiver
	for i := range r.b {
		g := (at + int64(i)*fsk.PerElement) & fsk.GridMask
		r.b[i] = r.probability(float64(s.trial.Likely[fsk.Mark][g] - s.trial.Likely[fsk.Space][g]))
	}
	l.of(&r.b)
}

// pair is what the spectrum says of the tones around a centre.
func (s *search) pair(hz float64, from int64) (g found) {
	half := s.config.ShiftHz / 2
	g.hz = [2]float64{hz + half, hz - half}
	noise := 1.1 * s.spectrum.Beside(hz-2*half-Baud, hz+2*half+Baud) * Baud / fsk.LineHz
	for k, tone := range g.hz {
		g.power[k] = float32(2 * max(s.spectrum.Tone(tone), 0))
		noise = max(noise, float64(g.power[k])/2000)
	}
	g.noise, g.from = float32(noise), from
	return g
}

// start prepares a channel.
func (s *search) start(c *fsk.Channel, g found) {
	c.Begin(g.hz[0], g.hz[1], Baud, g.power, [2]float32{g.noise, g.noise}, g.from)
}

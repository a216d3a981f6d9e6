package survey

import (
	"math"

	"ionoscribe/internal/mode"
)

const (
	// mostSought is how many of a mode that begin at about the same time are looked for; audio has room for one fax.
	mostSought     = 3
	patientSeconds = 20.0  // after a control tone, in which lines of phasing are sent, for 30 s (ISO 9876, 3.8)
	expectSeconds  = 25.0  // for which lines may be part of what was announced
	expectHz       = 700.0 // within which they are: a deviation of 400 Hz, and sidebands
	expectTries    = 4     // after which what was not announced is not waited for
	toneSeconds    = 16.0  // a tone of 10 s, and what is seen of it after
	forgetSeconds  = 4.0   // after which what is not seen any more is given up
	elsewhereHz    = 250.0 // off the centre that was supposed there is something else
	settleSeconds  = 1.0   // before the first judgement
	// A judge of an area hears soundSeconds before it was supposed, and without a control tone at least pictureLines: 16 s, 32 lines.
	soundSeconds, pictureLines = 3.0, 16.0
	// Judgements follow each other in nextSeconds, which grow by a fifth up to mostNext: what takes longer to be told takes longer.
	nextSeconds, nextGrows, mostNext = 1.3, 1.2, 4.0
	// What is 800 Hz between its levels, and has sidebands, fills an area of such a width, also if its edges are not seen.
	narrowestHz, widestHz = 500.0, 2500.0
	// levelConfidence is that of what no judge knows, but a control tone and a level after it tell.
	levelConfidence = 0.8
	levelSeconds    = 2.0  // that a level lasts, and begins after the control tone
	levelOffHz      = 10.0 // two bins
)

// look has each seeker look, of those of a mode that have nothing in sight only one.
func (s *seekers) look(last bool) {
	var idle *mode.Mode
	for i := range s.list {
		c := &s.list[i]
		if c.mode == idle && c.hz == 0 {
			continue
		}
		there, sounds := s.update(c)
		s.suppose()
		if there && (s.frames.count >= c.next || last) && s.try(c, sounds, last) {
			c.reset()
			s.suppose()
		}
		if c.hz == 0 {
			idle = c.mode
		}
	}
}

// update says whether something is where a seeker looks, and whether its control tone sounds.
func (s *seekers) update(c *seeker) (there, sounds bool) {
	now := s.frames.count
	hz, tone, power := s.sight(c)
	sounds = tone != 0
	if c.tone.known != 0 && power < c.tone.power && math.Abs(hz-c.hz) > toneNearHz { // what is left when the tone has ended, or something else
		sounds = false
	}
	switch {
	case sounds:
		if c.tone.known == 0 {
			c.tone.since = now
		}
		c.tone.known, c.tone.tone, c.tone.power = now, tone, max(c.tone.power, power)
	case c.tone.known != 0 && s.frames.seconds(now-c.tone.known) < patientSeconds && s.mayBe(c, c.hz): // fading may have spoilt the tone, but lines will tell
		hz = c.hz
	default:
		c.tone.known = 0
	}
	if hz == 0 {
		if c.hz != 0 && s.frames.seconds(now-c.seen) > forgetSeconds {
			c.reset()
		}
		return false, sounds
	}
	if c.hz == 0 || math.Abs(c.hz-hz) > elsewhereHz {
		*c = seeker{mode: c.mode, first: now, next: now + int64(settleSeconds/s.frames.hopS), tone: c.tone}
	}
	c.hz, c.seen = hz, now
	return true, sounds
}

// try has what a seeker supposes judged, and opens a track of what it is.
func (s *seekers) try(c *seeker, sounds, last bool) (found bool) {
	now := s.frames.count
	chance := neededChance
	if !s.announced(c) {
		chance *= math.Pow(areaRepeat, float64(c.tries))
	}
	if !s.judging.budget.admits(chance, last) {
		return false
	}
	defer s.judging.settle()
	c.tries++
	c.next = now + int64(min(nextSeconds*math.Pow(nextGrows, float64(c.tries)), mostNext)/s.frames.hopS)
	age := s.frames.seconds(now-c.first) + soundSeconds
	if !sounds {
		age = max(age, pictureLines)
	}
	length := s.judging.stretch(age)
	if length == 0 {
		return false
	}
	a, m, hz := c.area(), c.mode, c.hz
	noise := s.frames.mean(s.spectrum.noise, hz-a.ReachHz, hz+a.ReachHz)
	low, high := s.tracks.free(hz-a.CutHz, hz-a.ReachHz), s.tracks.free(hz+a.CutHz, hz+a.ReachHz)
	v := s.judging.judge(m, length, candidate{low, high, hz, noise}, nil)
	settings, sure := v.Settings, v.Confidence
	if !v.Is {
		// Fading may spoil a control tone for the decoder; but then one of the two levels follows where it must be.
		if c.tone.known == 0 || sounds || !s.level(c) {
			return false
		}
		settings, sure = a.Announced(c.tone.tone), levelConfidence
	}
	f := s.frames
	t := &track{Finding: Finding{Kind: Kind(m.Name), Hz: hz, LowHz: hz - a.ReachHz, HighHz: hz + a.ReachHz, Settings: settings, Confidence: sure},
		mode: m, shape: &m.Shape, noise: noise, control: control{tone: c.tone.tone, frames: toneSeconds / f.hopS}}
	t.spots = []spot{{f.bin(t.LowHz), f.bin(t.HighHz)}}
	if c.tone.known != 0 {
		t.control.known = c.tone.since
	}
	if !s.gauge.present(t, s.gauge.lastThere(t)) {
		return false // it was, or never
	}
	s.tracker.open(t, now)
	return true
}

// sight says where the middle of what is sought may be: by the lines of a control tone, by those of the two levels, or by an area.
func (s *seekers) sight(c *seeker) (hz, tone, power float64) {
	// Lines of a control tone lie at its multiples from the centre. The tone that explains most is the one.
	a := c.area()
	for i := range len(a.StartHz) + 1 {
		at := a.StopHz
		if i < len(a.StartHz) {
			at = a.StartHz[i]
		}
		for _, l := range s.lines.list {
			if s.lines.apart(l, at) == nil && s.lines.apart(l, 2*at) == nil {
				continue
			}
			if centre, v := s.combCentre(c, l.hz, at); v > power && !s.dots.heard(s.lines, centre, at) {
				hz, tone, power = centre, at, v
			}
		}
	}
	if hz != 0 && tone != a.StopHz {
		return hz, tone, power
	}
	for _, l := range s.lines.list {
		if o := s.lines.apart(l, 2*a.DeviationHz); o != nil && s.mayBe(c, (l.hz+o.hz)/2) {
			return (l.hz + o.hz) / 2, 0, 0
		}
	}
	if w := s.area.width; w >= narrowestHz && w <= widestHz {
		hz := s.area.low + w/2
		if centre := c.mode.Shape.CutHz; !s.iq && s.area.holds(centre) {
			hz = centre
		}
		if s.mayBe(c, hz) {
			return hz, 0, 0
		}
	}
	return 0, 0, 0
}

// level says that the strongest line around a middle is that of one of the two levels, and began after the control tone did.
func (s *seekers) level(c *seeker) bool {
	var top *line
	for _, l := range s.lines.list {
		if math.Abs(l.hz-c.hz) < expectHz && (top == nil || l.density > top.density) {
			top = l
		}
	}
	return top != nil && s.frames.seconds(s.frames.count-top.first) > levelSeconds && s.frames.seconds(top.first-c.tone.since) > levelSeconds &&
		math.Abs(math.Abs(top.hz-c.hz)-c.area().DeviationHz) < levelOffHz
}

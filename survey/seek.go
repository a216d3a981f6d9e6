package survey

import (
	"math"

	"ionoscribe/internal/mode"
)

// seeker looks for a transmission that fills an area, such as a fax: where lines are as far apart as those of its control
// tones or as its two levels, or in an area that is full.
type seeker struct {
	mode  *mode.Mode
	hz    float64 // supposed centre; 0: none
	first int64   // frame in which it was supposed first
	seen  int64   // and last
	next  int64
	tries int
	known int64   // frame in which a control tone was heard last; 0: none
	since int64   // and first
	tone  float64 // Hz
	power float64 // of its lines, at most
}

// mostSought is how many of a mode that begin at about the same time are looked for; audio has room for one fax.
const mostSought = 3

const (
	patientSeconds = 20.0 // after a control tone
	expectSeconds  = 25.0 // for which lines may be part of what was announced
	toneSeconds    = 16.0 // a tone of 10 s, and what is seen of it after
	toneNearHz     = 10.0
)

// newSeekers has seekers of all modes that fill an area.
func newSeekers(modes []*mode.Mode) (all []seeker) {
	for _, m := range modes {
		for range mostSought {
			if m.Shape.Area != nil {
				all = append(all, seeker{mode: m})
			}
		}
	}
	return all
}

func (c *seeker) area() *mode.Area { return c.mode.Shape.Area }

// reset has it look for the next.
func (c *seeker) reset() { *c = seeker{mode: c.mode} }

// expects says that a line may be one of what is sought and nothing is decided on yet.
func (s *Survey) expects(hz float64) bool {
	for i := range s.seekers {
		if c := &s.seekers[i]; s.announces(c, hz) || c.hz != 0 && !c.announced(s) && c.tries < 4 && math.Abs(hz-c.hz) < 700 {
			return true
		}
	}
	return false
}

// announced says that a line may be one of any of those.
func (s *Survey) announced(hz float64) bool {
	for i := range s.seekers {
		if s.announces(&s.seekers[i], hz) {
			return true
		}
	}
	return false
}

// announces says that a line may be one of what a control tone was heard of.
func (s *Survey) announces(c *seeker, hz float64) bool {
	if !c.announced(s) {
		return false
	}
	k := math.Round((hz - c.hz) / c.tone)
	return math.Abs(hz-c.hz-k*c.tone) < toneNearHz || math.Abs(hz-c.hz) < 700
}

// announced says that a control tone was heard lately.
func (c *seeker) announced(s *Survey) bool {
	return c.known != 0 && s.seconds(s.frames.count-c.since) < expectSeconds
}

// seek has each seeker look, of those of a mode that have nothing in sight only one.
func (s *Survey) seek(last bool) {
	var idle *mode.Mode
	for i := range s.seekers {
		if c := &s.seekers[i]; c.mode != idle || c.hz != 0 {
			s.seekOne(c, last)
			if c.hz == 0 {
				idle = c.mode
			}
		}
	}
}

// seekOne has what a seeker supposes judged.
func (s *Survey) seekOne(c *seeker, last bool) {
	now := s.frames.count
	hz, tone, power := s.suppose(c)
	if c.known != 0 && power < c.power && math.Abs(hz-c.hz) > toneNearHz { // what is left when the tone has ended, or something else
		tone = 0
	}
	announced := tone != 0
	switch {
	case announced:
		if c.known == 0 {
			c.since = now
		}
		c.known, c.tone, c.power = now, tone, max(c.power, power)
	case c.known != 0 && s.seconds(now-c.known) < patientSeconds && s.mayBe(c, c.hz): // fading may have spoilt the tone, but lines will tell
		hz = c.hz
	default:
		c.known = 0
	}
	if hz == 0 {
		if c.hz != 0 && s.seconds(now-c.seen) > 4 {
			c.reset()
		}
		return
	}
	if c.hz == 0 || math.Abs(c.hz-hz) > 250 {
		*c = seeker{mode: c.mode, first: now, next: now + int64(1/s.frames.hopS), known: c.known, since: c.since, tone: c.tone, power: c.power}
	}
	c.hz, c.seen = hz, now
	if now < c.next && !last {
		return
	}
	chance := neededChance
	if !c.announced(s) {
		chance *= math.Pow(areaRepeat, float64(c.tries))
	}
	age := s.seconds(now-c.first) + 3
	if !announced {
		age = max(age, 16)
	}
	if !s.budget.admits(chance, last) {
		return
	}
	defer s.settle()
	c.tries++
	c.next = now + int64(min(1.3*math.Pow(1.2, float64(c.tries)), 4)/s.frames.hopS)
	to := s.frames.end()
	from := to - s.stretch(age)
	if from == to {
		return
	}
	a, m := c.area(), c.mode
	noise := s.mean(s.spectrum.noise, hz-a.ReachHz, hz+a.ReachHz)
	v := s.judge(m, from, to, s.free(hz-a.CutHz, hz-a.ReachHz), s.free(hz+a.CutHz, hz+a.ReachHz), hz, noise, nil)
	settings, sure := v.Settings, v.Confidence
	if !v.Is {
		// Fading may spoil a control tone for the decoder; but then one of the two levels follows where it must be.
		if c.known == 0 || announced || !s.level(c, hz) {
			return
		}
		settings, sure = a.Announced(c.tone), levelConfidence
	}
	f := s.frames
	t := &track{Finding: Finding{Kind: Kind(m.Name), Hz: hz, LowHz: hz - a.ReachHz, HighHz: hz + a.ReachHz, Settings: settings, Confidence: sure},
		mode: m, shape: &m.Shape, noise: noise, tone: c.tone, toneFrames: toneSeconds / f.hopS}
	t.spots = []spot{{f.bin(t.LowHz), f.bin(t.HighHz)}}
	if c.known != 0 {
		t.announced = c.since
	}
	if !s.present(t, s.lastThere(t)) {
		return // it was, or never
	}
	s.open(t, now)
	c.reset()
}

// levelConfidence is that of what no judge knows, but a control tone and a level after it tell.
const levelConfidence = 0.8

// toneHeard is when and where the lines of a control tone are, which reach far and are no part of others.
type toneHeard struct {
	hz, tone float64
	from, to int64 // frames
}

// tones are those of what was found and of what is supposed.
func (s *Survey) tones() []toneHeard {
	list := s.heard[:0]
	for _, c := range s.seekers {
		if c.known != 0 {
			list = append(list, toneHeard{c.hz, c.tone, c.first - int64(meanSeconds/s.frames.hopS), c.known + 1})
		}
	}
	for _, t := range s.tracks {
		if t.tone != 0 && len(list) < cap(list) {
			from := (t.Begin - s.frames.base) / s.frames.hop
			list = append(list, toneHeard{t.Hz, t.tone, from - 2, from + int64(t.toneFrames)})
		}
	}
	s.heard = list
	return list
}

// combs says whether lines of a control tone are in a spot, and do not fill it.
func (s *Survey) combs(p spot, from, to int64) bool {
	in := 0
	for i := p.low; i <= p.high && len(s.tones()) > 0; i++ {
		for k := from; k < to; k++ {
			if s.comb(i, k) {
				in++
				break
			}
		}
	}
	return in > 0 && in < p.high-p.low+1
}

// comb says whether a line of a control tone is in a bin of a frame.
func (s *Survey) comb(bin int, frame int64) bool {
	for _, c := range s.heard {
		if frame < c.from || frame > c.to {
			continue
		}
		d := s.frames.hz(float64(bin)) - c.hz
		if k := math.Round(d / c.tone); math.Abs(d-k*c.tone) < 1.2*toneNearHz && math.Abs(k) < 8 {
			return true
		}
	}
	return false
}

func (s *Survey) mean(x []float32, low, high float64) float64 {
	sum := 0.0
	a, b := s.frames.bin(low), s.frames.bin(high)
	for _, v := range x[a : b+1] {
		sum += float64(v)
	}
	return sum / float64(b-a+1)
}

// dotsHz is how far apart the lines of a dot pattern of 100 Bd are, every sixth or ninth of which a control tone would have too.
const dotsHz = 50.0

// dotted says that there is a dot pattern, or was so lately that its lines are still in the mean spectrum and the call behind it goes on.
func (s *Survey) dotted(hz, tone float64) bool {
	const callSeconds, reachHz = 9.0, 700.0
	if s.dots(hz, tone) {
		s.dotsHz, s.dotsLast = hz, s.frames.count
		return true
	}
	return s.dotsHz != 0 && math.Abs(hz-s.dotsHz) < reachHz && s.seconds(s.frames.count-s.dotsLast) < callSeconds
}

// dots says that beside the strongest line that a control tone would have there are others as of a dot pattern.
func (s *Survey) dots(hz, tone float64) bool {
	const leastLines, leastShare = 2, 0.2 // of the four beside, and of the strongest one's density
	strongest, most := 0.0, 0.0
	for k := -2.0; k <= 2; k++ {
		if v := s.density(hz + k*tone); v > most {
			strongest, most = hz+k*tone, v
		}
	}
	n := 0
	for _, d := range [...]float64{-2, -1, 1, 2} {
		if s.density(strongest+d*dotsHz) > leastShare*most {
			n++
		}
	}
	return n >= leastLines
}

// suppose says where the middle of what is sought may be.
func (s *Survey) suppose(c *seeker) (hz, tone, power float64) {
	// Lines of a control tone lie at its multiples from the centre. The tone that explains most is the one.
	a := c.area()
	for i := range len(a.StartHz) + 1 {
		at := a.StopHz
		if i < len(a.StartHz) {
			at = a.StartHz[i]
		}
		for _, l := range s.lines {
			if s.apart(l, at) == nil && s.apart(l, 2*at) == nil {
				continue
			}
			if centre, v := s.combCentre(c, l.hz, at); v > power && !s.dotted(centre, at) {
				hz, tone, power = centre, at, v
			}
		}
	}
	if hz != 0 && tone != a.StopHz {
		return hz, tone, power
	}
	for _, l := range s.lines {
		if o := s.apart(l, 2*a.DeviationHz); o != nil && s.mayBe(c, (l.hz+o.hz)/2) {
			return (l.hz + o.hz) / 2, 0, 0
		}
	}
	if w := s.area.width; w >= 500 && w <= 2500 {
		hz := s.area.low + w/2
		if centre := c.mode.Shape.CutHz; !s.config.IQ && s.area.low < centre && s.area.low+w > centre {
			hz = centre
		}
		if s.mayBe(c, hz) {
			return hz, 0, 0
		}
	}
	return 0, 0, 0
}

// level says that the strongest line around a middle is that of one of the two levels, and began after the control tone did.
func (s *Survey) level(c *seeker, hz float64) bool {
	var top *line
	for _, l := range s.lines {
		if math.Abs(l.hz-hz) < 700 && (top == nil || l.density > top.density) {
			top = l
		}
	}
	return top != nil && s.seconds(s.frames.count-top.first) > 2 && s.seconds(top.first-c.since) > 2 && math.Abs(math.Abs(top.hz-hz)-c.area().DeviationHz) < 10
}

// combCentre is the centre of a control tone of which a line is one, 0 if there is none, and how much power is as its lines should be.
func (s *Survey) combCentre(c *seeker, hz, tone float64) (best, power float64) {
	most, found, strongest := 0.0, 0, 0.0
	for k := -2.0; k <= 2; k++ {
		at := hz + k*tone
		if !s.mayBe(c, at) {
			continue
		}
		// The amplitudes of the lines of a square wave of frequency (by its Fourier series), between both levels.
		b := c.area().DeviationHz / tone
		sum, norm, lines, top := 0.0, 0.0, 0, 0.0
		for n := -2.0; n <= 2; n++ {
			v := s.density(at + n*tone)
			a := combAmplitude(b, int(math.Abs(n)))
			sum += a * math.Sqrt(v)
			norm += a * a
			top = max(top, v)
			if v > 0 {
				lines++
			}
		}
		if sum > most {
			best, most, power, found, strongest = at, sum, sum*sum/norm, lines, top
		}
	}
	if found < 3 {
		return 0, 0
	}
	for _, l := range s.lines { // the strongest line is one of them
		k := math.Round((l.hz - best) / tone)
		if math.Abs(l.hz-best) < 550 && l.density > 1.5*strongest && math.Abs(l.hz-best-k*tone) > toneNearHz {
			return 0, 0
		}
	}
	return best, power
}

// combAmplitude is that of line k of a carrier whose frequency is a square wave, at a modulation index of b: its phase is
// a triangle, so that it is 2b·sin((b-k)·π/2)/(π·(b²-k²)) for even and odd k alike.
func combAmplitude(b float64, k int) float64 {
	x, sin := b-float64(k), 1.0
	if math.Abs(x) < 1e-6 {
		return 0.5
	}
	sin = math.Sin(x * math.Pi / 2)
	return math.Abs(2 * b * sin / (math.Pi * x * (b + float64(k))))
}

// density is what the lines say at a frequency.
func (s *Survey) density(hz float64) float64 {
	for _, l := range s.lines {
		if math.Abs(l.hz-hz) < 8 {
			return l.density
		}
	}
	return 0
}

// mayBe says whether what is sought may have its middle there: in audio, only where receivers are tuned to have it, and not
// where one is or another is supposed.
func (s *Survey) mayBe(c *seeker, hz float64) bool {
	a := c.area()
	if !s.config.IQ && math.Abs(hz-c.mode.Shape.CutHz) > a.OffHz {
		return false
	}
	for i := range s.seekers {
		if o := &s.seekers[i]; o != c && o.hz != 0 && math.Abs(hz-o.hz) < a.ReachHz+o.area().ReachHz {
			return false
		}
	}
	for _, t := range s.tracks {
		if o := t.area(); o != nil && math.Abs(hz-t.Hz) < a.ReachHz+o.ReachHz {
			return false
		}
	}
	return true
}

// apart is a line that is so many Hz above another, as old as it.
func (s *Survey) apart(l *line, hz float64) *line {
	for _, o := range s.lines {
		if math.Abs(o.hz-l.hz-hz) < 8 && math.Abs(s.seconds(o.first-l.first)) < 1.6 && o.density < 300*l.density && l.density < 300*o.density {
			return o
		}
	}
	return nil
}

// areaCentre is the middle of what fills an area by the lines of its two levels in the mean of all of it.
func (t *track) areaCentre(f *frames, hz float64) float64 {
	at := func(h float64) float64 {
		x := h/f.binHz - float64(f.lowBin) - float64(t.lowBin)
		i := int(math.Floor(x))
		if i < 0 || i+1 >= len(t.total) {
			return 0
		}
		part := x - float64(i)
		return max(t.total[i]*(1-part)+t.total[i+1]*part-t.noise*t.counted, 0)
	}
	best, top, deviation := hz, 0.0, t.area().DeviationHz
	for h := hz - 200; h <= hz+200; h++ {
		// Roots, so that one line alone, which is of one level, does not tell as much as both.
		if v := math.Sqrt(at(h-deviation)) + math.Sqrt(at(h+deviation)); v > top {
			best, top = h, v
		}
	}
	// The stronger of both lines says it to a fraction of a bin.
	low, high := best-deviation, best+deviation
	if at(low) > at(high) {
		return t.peakIn(f, low, 9) + deviation
	}
	return t.peakIn(f, high, 9) - deviation
}

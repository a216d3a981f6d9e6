package survey

import (
	"math"

	"ionoscribe/internal/mode"
)

const (
	lookFrames  = 6   // between looks
	lookSeconds = 0.5 // about
	mostTracks  = 500
	mostEndings = 64
)

// Survey finds the transmissions in a stream of samples. It is one goroutine's at a time and starts none.
type Survey struct {
	config   Config
	events   Events
	ring     *ring
	frames   *frames
	spectrum *spectrum
	cutter   *cutter
	judges   map[*mode.Mode]mode.Judge
	work     float64 // that judges took, see budget
	budget   budget

	tracks  []*track
	lines   []*line
	seekers []seeker
	area    areaSearch
	endings []ending
	// The latest dot pattern of a selective call: where, and the frame in which it was seen last; 0: none.
	dotsHz   float64
	dotsLast int64
	ids      int
	sorted   []float32 // work space
	env      [2][]float32
	marks    []float64 // lengths, see keyed
	gaps     []float64
	heard    []toneHeard

	picture *Picture
}

// ending is where something ended lately: what begins there began after it.
type ending struct {
	low, high float64 // Hz
	frame     int64
}

// New makes a survey; it fails if c is not valid.
func New(c Config, e Events) (*Survey, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	s := &Survey{config: c, events: e, ring: newRing(c.SampleRate, c.IQ), frames: newFrames(c), judges: map[*mode.Mode]mode.Judge{}}
	for _, m := range c.Modes {
		s.judges[m] = m.NewJudge()
	}
	s.seekers = newSeekers(c.Modes)
	s.spectrum = newSpectrum(s.frames)
	s.heard = make([]toneHeard, 0, 8)
	s.cutter = newCutter(s.ring, c.SampleRate)
	s.budget = s.newBudget()
	return s, nil
}

// Write takes samples of audio in [-1, 1]; NaN and infinities count as silence. The block is neither kept nor changed.
func (s *Survey) Write(block []float32) {
	if s.config.IQ {
		panic("survey: Write of real samples, but complex ones were announced")
	}
	for len(block) > 0 {
		n := min(len(block), s.frames.missing(s.ring))
		s.ring.add(block[:n])
		block = block[n:]
		s.step()
	}
}

// WriteIQ is Write for complex samples.
func (s *Survey) WriteIQ(block []complex64) {
	if !s.config.IQ {
		panic("survey: WriteIQ, but real samples were announced")
	}
	for len(block) > 0 {
		n := min(len(block), s.frames.missing(s.ring))
		s.ring.addIQ(block[:n])
		block = block[n:]
		s.step()
	}
}

func (s *Survey) step() {
	for s.frames.take(s.ring) {
		if s.picture != nil {
			s.picture.add(s.frames.raw)
		}
		if s.frames.count%lookFrames == 0 {
			s.look(false)
		}
	}
}

// Flush ends what is heard, then starts afresh. Sample indices go on.
func (s *Survey) Flush() {
	if s.frames.count > 0 {
		s.look(true)
	}
	for _, t := range s.tracks {
		if !t.gone && s.frames.count-t.heard < 2*lookFrames { // it was there to the last
			t.End = s.ring.end
		}
		s.finish(t)
	}
	s.tracks, s.lines, s.endings = s.tracks[:0], s.lines[:0], s.endings[:0]
	s.seekers, s.area, s.dotsHz = newSeekers(s.config.Modes), areaSearch{}, 0
	s.frames.reset(s.ring.end)
	s.ring.cut = s.ring.end
	s.spectrum.reset()
	s.budget = s.newBudget()
}

// First is the index of the oldest sample that Samples and IQ can give.
func (s *Survey) First() int64 { return s.ring.first() }

// Total is the number of samples written.
func (s *Survey) Total() int64 { return s.ring.end }

// Samples copies samples from an index on that were written lately, and says how many there were.
func (s *Survey) Samples(dst []float32, from int64) int {
	n := s.span(len(dst), from)
	for i := range dst[:n] {
		dst[i] = s.ring.real[(from+int64(i))%s.ring.size]
	}
	return n
}

// IQ is Samples of complex ones.
func (s *Survey) IQ(dst []complex64, from int64) int {
	n := s.span(len(dst), from)
	for i := range dst[:n] {
		dst[i] = s.ring.iq[(from+int64(i))%s.ring.size]
	}
	return n
}

func (s *Survey) span(n int, from int64) int {
	if from < s.ring.first() || from > s.ring.end {
		return 0
	}
	return int(min(int64(n), s.ring.end-from))
}

// look is called twice a second.
func (s *Survey) look(last bool) {
	s.spectrum.look(s.held)
	s.budget.earn(lookFrames * s.frames.hopS)
	if last {
		s.budget.atLast()
	}
	kept := s.tracks[:0]
	for _, t := range s.tracks {
		if s.follow(t) {
			s.again(t)
			kept = append(kept, t)
			continue
		}
		s.finish(t)
	}
	s.tracks = kept
	s.findLines()
	s.seek(last)
	s.classify(last)
	s.seekArea(last)
}

// held says where the noise does not follow the floor.
func (s *Survey) held(hz float64) bool {
	for _, t := range s.tracks {
		if hz > t.LowHz-50 && hz < t.HighHz+50 && t.HighHz-t.LowHz > 300 {
			return true
		}
	}
	return s.area.width > 0 && hz > s.area.low && hz < s.area.low+s.area.width
}

// partHz is by how many Hz what is part of a signal may surpass it.
const partHz = 100.0

// sameSeconds is within what an area begins that was but the skirts of a signal.
const sameSeconds = 3.0

// open begins a track of what was found; it takes the place of carriers and others that were but parts of it.
func (s *Survey) open(t *track, from int64) {
	s.begin(t, from)
	s.relieve(t)
	kept := s.tracks[:0]
	for _, o := range s.tracks {
		broad := o.broad && o.LowHz < t.HighHz && o.HighHz > t.LowHz && math.Abs(float64(o.Begin-t.Begin)) < sameSeconds*s.config.SampleRate
		if broad || o.mode == nil && (t.mode != nil || t.Kind == Carrier && o.Kind == Other) && o.LowHz > t.LowHz-partHz && o.HighHz < t.HighHz+partHz {
			if o.Kind == Carrier {
				t.Begin = min(t.Begin, o.Begin)
			}
			if t.ID == 0 {
				t.ID = o.ID
				continue
			}
			s.emitEnded(o)
			continue
		}
		kept = append(kept, o)
	}
	s.tracks = kept
	changed := t.ID != 0
	if !changed {
		s.ids++
		t.ID = s.ids
	}
	s.measure(t)
	lines := s.lines[:0]
	for _, l := range s.lines {
		if !t.covers(l.peak) {
			lines = append(lines, l)
		}
	}
	s.lines = lines
	if len(s.tracks) >= mostTracks {
		return
	}
	s.tracks = append(s.tracks, t)
	if changed {
		s.tell(s.events.Changed, t)
	} else {
		s.tell(s.events.Found, t)
	}
}

func (s *Survey) tell(hook func(Finding), t *track) {
	if hook != nil {
		hook(t.Finding)
	}
}

func (s *Survey) finish(t *track) {
	s.measure(t)
	s.trim(t)
	s.emitEnded(t)
}

// emitEnded tells that a track has ended, and remembers where.
func (s *Survey) emitEnded(t *track) {
	if len(s.endings) == mostEndings {
		s.endings = s.endings[:copy(s.endings, s.endings[1:])]
	}
	if !t.broad {
		s.endings = append(s.endings, ending{t.LowHz, t.HighHz, t.heard})
	}
	if s.picture != nil {
		s.picture.mark(t.Finding)
	}
	s.tell(s.events.Ended, t)
}

package survey

import "ionoscribe/internal/mode"

const (
	lookFrames  = 6   // between looks
	lookSeconds = 0.5 // about
)

// Survey finds the transmissions in a stream of samples. It is one goroutine's at a time and starts none.
type Survey struct {
	modes  []*mode.Mode
	events Events

	ring     *ring
	frames   *frames
	spectrum *spectrum

	judging *judging
	tracks  *tracks
	tracker *tracker

	lines   *lines
	seekers *seekers
	search  *lineSearch
	areas   *areaSearch
	picture *Picture
}

// New makes a survey; it fails if c is not valid.
func New(c Config, e Events) (*Survey, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	s := &Survey{modes: c.Modes, events: e, ring: newRing(c.SampleRate, c.IQ), frames: newFrames(c)}
	f := s.frames
	s.spectrum = newSpectrum(f)
	s.judging = newJudging(f, s.ring, c)
	s.tracks = &tracks{frames: f}
	s.lines = &lines{frames: f, spectrum: s.spectrum, tracks: s.tracks, iq: c.IQ}
	g := &gauge{frames: f, ring: s.ring, tracks: s.tracks}
	s.tracker = &tracker{frames: f, tracks: s.tracks, lines: s.lines, gauge: g, judging: s.judging, events: Events{e.Found, e.Changed, s.ended}}
	s.areas = &areaSearch{frames: f, spectrum: s.spectrum, lines: s.lines, tracks: s.tracks, tracker: s.tracker}
	s.seekers = &seekers{frames: f, spectrum: s.spectrum, lines: s.lines, area: &s.areas.area, tracks: s.tracks, gauge: g, judging: s.judging, tracker: s.tracker, iq: c.IQ}
	s.seekers.reset(c.Modes)
	s.search = &lineSearch{frames: f, spectrum: s.spectrum, lines: s.lines, seekers: s.seekers, tracks: s.tracks, gauge: g, judging: s.judging, tracker: s.tracker, modes: c.Modes}
	return s, nil
}

// Write takes samples of audio in [-1, 1]; NaN and infinities count as silence. The block is neither kept nor changed.
func (s *Survey) Write(block []float32) {
	if s.ring.iq != nil {
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
	if s.ring.iq == nil {
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

// look is called twice a second: it follows what is known, and then asks what else is heard.
func (s *Survey) look(last bool) {
	s.spectrum.look(func(hz float64) bool { return s.tracks.raiseFloor(hz) || s.areas.area.holds(hz) })
	s.judging.budget.earn(s.frames.seconds(lookFrames))
	if last {
		s.judging.budget.atLast()
	}
	s.tracker.followAll()
	s.lines.update()
	s.seekers.look(last)
	s.search.look(last)
	s.areas.look(last)
}

// Flush ends what is heard, then starts afresh. Sample indices go on.
func (s *Survey) Flush() {
	if s.frames.count > 0 {
		s.look(true)
	}
	s.tracker.flush()
	s.lines.list, s.areas.area = s.lines.list[:0], area{}
	s.seekers.reset(s.modes)
	s.frames.reset(s.ring.end)
	s.ring.cut = s.ring.end
	s.spectrum.reset()
	s.judging.reset()
}

// ended takes what has ended.
func (s *Survey) ended(f Finding) {
	if s.picture != nil {
		s.picture.mark(f)
	}
	if s.events.Ended != nil {
		s.events.Ended(f)
	}
}

// First is the index of the oldest sample that Samples and IQ can give.
func (s *Survey) First() int64 { return s.ring.first() }

// Total is the number of samples written.
func (s *Survey) Total() int64 { return s.ring.end }

// Samples copies samples from an index on that were written lately, and says how many there were.
func (s *Survey) Samples(dst []float32, from int64) int {
	return copySamples(dst, s.ring.real, s.ring, from)
}

// IQ is Samples of complex ones.
func (s *Survey) IQ(dst []complex64, from int64) int {
	return copySamples(dst, s.ring.iq, s.ring, from)
}

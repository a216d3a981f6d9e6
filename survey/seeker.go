package survey

import (
	"math"

	"ionoscribe/internal/mode"
)

// seekers look for transmissions that fill an area, such as faxes: where lines are as far apart as those of a control tone or as
// the two levels, or in an area that is full.
type seekers struct {
	frames   *frames
	spectrum *spectrum
	lines    *lines
	area     *area
	tracks   *tracks
	gauge    *gauge
	judging  *judging
	tracker  *tracker
	dots     dots
	list     []seeker
	iq       bool
}

// seeker is one supposition.
type seeker struct {
	mode  *mode.Mode
	hz    float64 // supposed centre; 0: none
	first int64   // frame in which it was supposed first
	seen  int64   // and last
	next  int64
	tries int
	tone  toneHeard
}

// toneHeard is a control tone that was heard where a seeker looks.
type toneHeard struct {
	known int64   // frame in which it was heard last; 0: none was
	since int64   // and first
	tone  float64 // Hz
	power float64 // of its lines, at most
}

func (s *seekers) reset(modes []*mode.Mode) {
	s.list, s.dots = s.list[:0], dots{}
	for _, m := range modes {
		for range mostSought {
			if m.Shape.Area != nil {
				s.list = append(s.list, seeker{mode: m})
			}
		}
	}
	s.suppose()
}

func (c *seeker) area() *mode.Area { return c.mode.Shape.Area }

// reset has it look for the next.
func (c *seeker) reset() { *c = seeker{mode: c.mode} }

// control is where the lines of its control tone are.
func (c *seeker) control() controlTone { return controlTone{hz: c.hz, tone: c.tone.tone} }

// announced says that a control tone was heard lately.
func (s *seekers) announced(c *seeker) bool {
	return c.tone.known != 0 && s.frames.seconds(s.frames.count-c.tone.since) < expectSeconds
}

// announces says that a line may be part of what a control tone announced.
func (s *seekers) announces(hz float64) bool {
	for i := range s.list {
		c := &s.list[i]
		if s.announced(c) && (c.control().near(hz, toneNearHz) || math.Abs(hz-c.hz) < expectHz) {
			return true
		}
	}
	return false
}

// expects says that a line may be part of what is sought and not decided on yet.
func (s *seekers) expects(hz float64) bool {
	if s.announces(hz) {
		return true
	}
	for i := range s.list {
		if c := &s.list[i]; c.hz != 0 && !s.announced(c) && c.tries < expectTries && math.Abs(hz-c.hz) < expectHz {
			return true
		}
	}
	return false
}

// suppose tells the control tones that are heard.
func (s *seekers) suppose() {
	list := s.tracks.supposed[:0]
	for _, c := range s.list {
		if c.tone.known != 0 {
			list = append(list, controlTone{c.hz, c.tone.tone, c.first - int64(meanSeconds/s.frames.hopS), c.tone.known + 1})
		}
	}
	s.tracks.supposed = list
}

// mayBe says whether what is sought may have its middle there: in audio, only where receivers are tuned to have it, and not
// where one is or another is supposed.
func (s *seekers) mayBe(c *seeker, hz float64) bool {
	a := c.area()
	if !s.iq && math.Abs(hz-c.mode.Shape.CutHz) > a.OffHz {
		return false
	}
	for i := range s.list {
		if o := &s.list[i]; o != c && o.hz != 0 && math.Abs(hz-o.hz) < a.ReachHz+o.area().ReachHz {
			return false
		}
	}
	for _, t := range s.tracks.list {
		if o := t.area(); o != nil && math.Abs(hz-t.Hz) < a.ReachHz+o.ReachHz {
			return false
		}
	}
	return true
}

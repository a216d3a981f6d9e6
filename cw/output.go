package cw

import "math"

// output calls the hooks of Events.
type output struct {
	events  Events
	clock   *clock
	signals int // number of the last signal
}

// clock converts times in the band to samples of the audio.
type clock struct {
	rate  float64 // Hz
	base  int64   // sample of the audio at which the band begins
	total int64   // samples of the audio so far
}

// sample is the sample of the audio at a time in band samples.
func (c *clock) sample(t float64) int64 {
	return c.base + min(max(0, int64(t*c.rate/bandRate+0.5)), c.total-c.base)
}

func (o *output) char(c Char) {
	if o.events.Char != nil {
		o.events.Char(c)
	}
}

func (o *output) state(s State) {
	if o.events.State != nil {
		o.events.State(s)
	}
}

// report is what has been reported of a signal.
type report struct {
	output *output
	number int   // of the signal; 0: it is not printed yet
	last   State // that was reported
}

// begin gives the signal a number, unless it has one.
func (r *report) begin() {
	if r.number == 0 {
		r.output.signals++
		r.number = r.output.signals
	}
}

// tell reports a state at a sample of the audio, unless it is like the last one.
func (r *report) tell(s State, at int64, pitchHz float64) {
	s.Signal, s.At, s.PitchHz = r.number, at, pitchHz
	if !s.like(r.last) {
		r.last = s
		r.output.state(s)
	}
}

// lose reports that the signal is lost, if it was reported at all.
func (r *report) lose(at int64) {
	if r.last.Receiving {
		r.last.Receiving, r.last.At = false, at
		r.output.state(r.last)
	}
}

// Smaller changes of a state are not reported (own choice).
const (
	smallHz        = 3.0
	smallSpeed     = 0.06 // of the speed
	smallDB        = 4.0
	smallWeighting = 0.06
	smallDashes    = 0.4 // dots
)

// like says whether two states differ too little for a report.
func (s State) like(o State) bool {
	near := func(a, b, by float64) bool { return math.Abs(a-b) < by }
	return s.Receiving == o.Receiving && near(s.PitchHz, o.PitchHz, smallHz) && near(s.WPM, o.WPM, smallSpeed*s.WPM) &&
		near(s.SNR, o.SNR, smallDB) && near(s.Weighting, o.Weighting, smallWeighting) && near(s.DashRatio, o.DashRatio, smallDashes)
}

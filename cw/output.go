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

// next is the number of a new signal.
func (o *output) next() int {
	o.signals++
	return o.signals
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

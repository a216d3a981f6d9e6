package cw

import "math"

// output hands characters and states of signals to whoever has ordered them.
type output struct {
	events  Events
	clock   *clock
	signals int // number of the last signal
}

// clock tells the sample of the audio by that of the band.
type clock struct {
	rate  float64 // Hz
	base  int64   // sample of the audio that is the first one of the band
	total int64   // samples of the audio that were written
}

// sample is the sample of the audio at a time in band samples, which may be between two.
func (c *clock) sample(t float64) int64 {
	return c.base + min(max(0, int64(t*c.rate/bandRate+0.5)), c.total-c.base)
}

// next is the number of another signal.
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

// Changes of a state that are not worth a report.
const (
	smallHz        = 3.0
	smallSpeed     = 0.06 // of the speed
	smallDB        = 4.0
	smallWeighting = 0.06
	smallDashes    = 0.4 // dots
)

// like says whether what has changed is not worth a report.
func (s State) like(o State) bool {
	near := func(a, b, by float64) bool { return math.Abs(a-b) < by }
	return s.Receiving == o.Receiving && near(s.PitchHz, o.PitchHz, smallHz) && near(s.WPM, o.WPM, smallSpeed*s.WPM) &&
		near(s.SNR, o.SNR, smallDB) && near(s.Weighting, o.Weighting, smallWeighting) && near(s.DashRatio, o.DashRatio, smallDashes)
}

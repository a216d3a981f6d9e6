package samples

import (
	"errors"
	"fmt"
	"math"

	"ionoscribe/demod"
)

// ClockConfig describes a sample clock whose error changes. By that clock's own time t it runs fast by
//
//	PPM + PPMPerHour·t + SwingPPM·sin(2πt/SwingSeconds)
//
// parts in a million, and never by more than 100 000 either way.
type ClockConfig struct {
	PPM          float64 // at the beginning
	PPMPerHour   float64 // ageing, or warming up
	SwingPPM     float64 // amplitude, as of a room whose temperature goes up and down
	SwingSeconds float64 // period
}

// clockStep is for how many samples the error of a clock is taken as constant. With 1 ppm more a second, far more than
// a quartz does, the chord is 1e-6/12000·1024²/8 = 1e-5 samples off at most.
const clockStep = 1024

const maxClockPPM = 1e5

// NewClockDrift returns src as sampled by such a clock; see [NewClockError].
func NewClockDrift(src demod.SampleReader, c ClockConfig) (*ClockError, error) {
	swings := c.SwingPPM != 0
	switch {
	case !(math.Abs(c.PPMPerHour) <= maxClockPPM) || !(math.Abs(c.SwingPPM) <= maxClockPPM):
		return nil, fmt.Errorf("clock drift: %v ppm an hour and a swing of %v ppm are not within ±%v", c.PPMPerHour, c.SwingPPM, maxClockPPM)
	case swings && !(c.SwingSeconds >= 1):
		return nil, errors.New("clock drift: a swing must last at least a second")
	}
	e, err := NewClockError(src, c.PPM)
	if err == nil && (swings || c.PPMPerHour != 0) {
		e.drift = &c
		e.until = clockStep
		e.ratio = c.ratio(clockStep / 2 / src.SampleRate())
	}
	return e, err
}

// ratio is true time over the clock's, at a time in seconds by the clock.
func (c *ClockConfig) ratio(t float64) float64 {
	ppm := c.PPM + c.PPMPerHour*t/3600
	if c.SwingPPM != 0 {
		ppm += c.SwingPPM * math.Sin(2*math.Pi*t/c.SwingSeconds)
	}
	return 1 / (1 + max(-maxClockPPM, min(ppm, maxClockPPM))*1e-6)
}

// turn goes on to the next step of a drifting clock.
func (c *ClockError) turn() {
	c.base += clockStep * c.ratio
	c.from = c.until
	c.until += clockStep
	c.ratio = c.drift.ratio((float64(c.from) + clockStep/2) / c.SampleRate())
}

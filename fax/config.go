package fax

import (
	"fmt"
	"slices"

	"ionoscribe/fax/draw"
)

// Config is complete with SampleRate alone: a zero field is found from the signal or has the usual value, a
// set one is an order.
type Config struct {
	SampleRate  float64  // Hz, 6000 to 192000; required
	IOC         int      // 576 or 288; zero: by the start tone, 576 without one
	LPM         float64  // 60, 90, 120 or 240 lines a minute; zero: found
	CentreHz    float64  // middle between black and white in the audio; zero: found within 150 Hz of CentreHz
	DeviationHz float64  // of white from the middle; zero: 400 (HF); 150 on LF
	Sideband    Sideband // zero: found
	LineStart   float64  // where the line begins after the middle of the pulse, in lines (-1 to 1)
	LossSeconds float64  // a chart ends when its signal has been lost for so long; zero: 30 s
	Plain       bool     // draw without restoration
	Doubtful    bool     // deliver charts too that may be none: poor ones without phasing or a slant that stands out
}

// check fills in the usual values.
func (c *Config) check() error {
	if c.DeviationHz == 0 {
		c.DeviationHz = DeviationHz
	}
	if c.LossSeconds == 0 {
		c.LossSeconds = 30
	}
	switch { // written so that NaN fails
	case !(c.SampleRate >= 6000 && c.SampleRate <= 192000):
		return fmt.Errorf("fax: sample rate of %g Hz is not between 6000 and 192000", c.SampleRate)
	case c.IOC != 0 && c.IOC != 576 && c.IOC != 288:
		return fmt.Errorf("fax: IOC %d is neither 576 nor 288", c.IOC)
	case c.LPM != 0 && !slices.Contains(LineRates, c.LPM):
		return fmt.Errorf("fax: %g lines a minute is none of %v", c.LPM, LineRates)
	case c.CentreHz != 0 && !(c.CentreHz >= CentreHz-800 && c.CentreHz <= CentreHz+800):
		return fmt.Errorf("fax: centre of %g Hz is not between %g and %g", c.CentreHz, CentreHz-800, CentreHz+800)
	case !(c.DeviationHz >= 100 && c.DeviationHz <= 600):
		return fmt.Errorf("fax: deviation of %g Hz is not between 100 and 600", c.DeviationHz)
	case c.Sideband < Either || c.Sideband > Lower:
		return fmt.Errorf("fax: unknown sideband %d", c.Sideband)
	case !(c.LineStart >= -1 && c.LineStart <= 1):
		return fmt.Errorf("fax: line start of %g lines is not between -1 and 1", c.LineStart)
	case !(c.LossSeconds >= 5 && c.LossSeconds <= 600):
		return fmt.Errorf("fax: loss time of %g s is not between 5 and 600", c.LossSeconds)
	}
	return nil
}

// orders are those that concern drawing.
func (c Config) orders() draw.Orders {
	return draw.Orders{
		CentreHz: c.CentreHz, DeviationHz: c.DeviationHz, Sideband: c.Sideband, LineStart: c.LineStart, Plain: c.Plain, Doubtful: c.Doubtful,
	}
}

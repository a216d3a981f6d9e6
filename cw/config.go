package cw

import "fmt"

// Config configures a decoder. Only SampleRate is required: another field that is zero is found from the signal, one that is
// set is an order.
type Config struct {
	SampleRate float64 // Hz, 6000 to 192000; required
	PitchHz    float64 // audio frequency, LowestHz to HighestHz; a signal further than 30 Hz away is not copied
	WPM        float64 // words a minute, SlowestWPM to FastestWPM; followed within a quarter of it
	// Signals is how many are copied at once, up to MaxSignals; zero: one, the first whose code is recognized, and when
	// it has ended the next.
	Signals int
	// PlainLanguage expects English besides groups and call signs, to the degree that what is received looks like it.
	PlainLanguage bool
}

// Limits of what is received.
const (
	LowestHz   = 200.0
	HighestHz  = 3500.0
	MaxSignals = 100
)

func (c *Config) check() error {
	switch { // written so that NaN fails
	case !(c.SampleRate >= 6000 && c.SampleRate <= 192000):
		return fmt.Errorf("cw: sample rate of %g Hz is not between 6000 and 192000", c.SampleRate)
	case c.PitchHz != 0 && !(c.PitchHz >= LowestHz && c.PitchHz <= HighestHz):
		return fmt.Errorf("cw: pitch of %g Hz is not between %g and %g", c.PitchHz, LowestHz, HighestHz)
	case c.WPM != 0 && !(c.WPM >= SlowestWPM && c.WPM <= FastestWPM):
		return fmt.Errorf("cw: %g words a minute are not between %g and %g", c.WPM, SlowestWPM, FastestWPM)
	case c.Signals < 0 || c.Signals > MaxSignals:
		return fmt.Errorf("cw: %d signals are not between 1 and %d", c.Signals, MaxSignals)
	}
	return nil
}

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

// Sample rates in Hz: the lowest has room for HighestHz below half of it, the highest is that of common sound cards.
const lowestRate, highestRate = 6000, 192000

// ordered is the ratio to an ordered speed within which a signal is followed.
const ordered = 1.25

// single says whether one signal is wanted.
func (c *Config) single() bool { return c.Signals <= 1 }

// dots are the limits of the length of a dot.
func (c *Config) dots() dots {
	fastest, slowest := FastestWPM, SlowestWPM
	if c.WPM != 0 {
		fastest, slowest = c.WPM*ordered, c.WPM/ordered
	}
	return dots{DotSeconds(fastest) * baseRate, DotSeconds(slowest) * baseRate}
}

func (c *Config) check() error {
	switch { // written so that NaN fails
	case !(c.SampleRate >= lowestRate && c.SampleRate <= highestRate):
		return fmt.Errorf("cw: sample rate of %g Hz is not between %d and %d", c.SampleRate, lowestRate, highestRate)
	case c.PitchHz != 0 && !(c.PitchHz >= LowestHz && c.PitchHz <= HighestHz):
		return fmt.Errorf("cw: pitch of %g Hz is not between %g and %g", c.PitchHz, LowestHz, HighestHz)
	case c.WPM != 0 && !(c.WPM >= SlowestWPM && c.WPM <= FastestWPM):
		return fmt.Errorf("cw: %g words a minute are not between %g and %g", c.WPM, SlowestWPM, FastestWPM)
	case c.Signals < 0 || c.Signals > MaxSignals:
		return fmt.Errorf("cw: %d signals are not between 1 and %d", c.Signals, MaxSignals)
	}
	return nil
}

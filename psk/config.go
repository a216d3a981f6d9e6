package psk

import "fmt"

// Ranges in which a decoder finds a signal.
const (
	LeastPitchHz, MostPitchHz = 200.0, 3700.0
	// MostSignals at a time.
	MostSignals = 40
	// pitchRangeHz to either side of an ordered pitch a signal is looked for.
	pitchRangeHz = 100.0
)

// Config is complete with SampleRate alone.
type Config struct {
	SampleRate float64 // Hz, 8000 to 192000; required
	PitchHz    float64 // of the carrier, meant to ±100 Hz; zero: found
	Signals    int     // at most so many at a time are printed, the strongest; zero: one
}

func (c *Config) check() error {
	if c.Signals == 0 {
		c.Signals = 1
	}
	switch { // written so that NaN fails
	case !(c.SampleRate >= 8000 && c.SampleRate <= 192000):
		return fmt.Errorf("psk: sample rate of %g Hz is not between 8000 and 192000", c.SampleRate)
	case c.PitchHz != 0 && !(c.PitchHz >= LeastPitchHz && c.PitchHz <= MostPitchHz):
		return fmt.Errorf("psk: pitch of %g Hz is not between %g and %g", c.PitchHz, LeastPitchHz, MostPitchHz)
	case !(c.Signals >= 1 && c.Signals <= MostSignals):
		return fmt.Errorf("psk: %d signals are not 1 to %d", c.Signals, MostSignals)
	}
	return nil
}

// Settings are those with which a transmission is sent: there is nothing to choose.
type Settings struct{}

func (Settings) String() string { return "31.25 Bd, reversals" }

// Short is a label.
func (Settings) Short() string { return "31 Bd" }

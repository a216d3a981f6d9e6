package modeb

import "fmt"

// Ranges in which a decoder finds a signal.
const (
	LeastCentreHz, MostCentreHz = 300.0, 3500.0
	LeastShiftHz, MostShiftHz   = 80.0, 900.0
	// Baud is the rate (ITU-R M.476-5, from memory).
	Baud = 100.0
	// UsualShiftHz is the distance of the tones (ITU-R M.476-5, from memory).
	UsualShiftHz = 170.0
)

// Config is complete with SampleRate alone.
type Config struct {
	SampleRate float64 // Hz, 6000 to 192000; required
	CentreHz   float64 // middle between the tones, meant to ±30 Hz; zero: found
	ShiftHz    float64 // distance of the tones; zero: UsualShiftHz
}

func (c *Config) check() error {
	if c.ShiftHz == 0 {
		c.ShiftHz = UsualShiftHz
	}
	switch { // written so that NaN fails
	case !(c.SampleRate >= 6000 && c.SampleRate <= 192000):
		return fmt.Errorf("mode B: sample rate of %g Hz is not between 6000 and 192000", c.SampleRate)
	case c.CentreHz != 0 && !(c.CentreHz >= LeastCentreHz && c.CentreHz <= MostCentreHz):
		return fmt.Errorf("mode B: centre of %g Hz is not between %g and %g", c.CentreHz, LeastCentreHz, MostCentreHz)
	case !(c.ShiftHz >= LeastShiftHz && c.ShiftHz <= MostShiftHz):
		return fmt.Errorf("mode B: shift of %g Hz is not between %g and %g", c.ShiftHz, LeastShiftHz, MostShiftHz)
	}
	return nil
}

// Settings are those with which a transmission is sent.
type Settings struct {
	ShiftHz  float64
	Inverted bool // B is the lower tone in the audio
	ModeA    bool // blocks of three characters that the other station acknowledges, which are recognised and not printed
}

func (s Settings) String() string {
	if s.ModeA {
		return fmt.Sprintf("mode A, not copied, shift %.0f Hz, B %s", s.ShiftHz, s.B())
	}
	return fmt.Sprintf("mode B, shift %.0f Hz, B %s", s.ShiftHz, s.B())
}

// Short is a label.
func (s Settings) Short() string {
	if s.ModeA {
		return "mode A"
	}
	return "mode B"
}

// B is the tone that is B: lower or higher.
func (s Settings) B() string {
	if s.Inverted {
		return "lower"
	}
	return "higher"
}

// Reversed are the settings as seen in the other sideband.
func (s Settings) Reversed() Settings { return Settings{s.ShiftHz, !s.Inverted, s.ModeA} }

package dsc

import "fmt"

// Ranges in which a decoder finds calls, and what is usual (ITU-R M.493).
const (
	LeastCentreHz, MostCentreHz = 300.0, 3500.0
	Baud, UsualShiftHz          = 100.0, 170.0
	// On VHF the tones are 1300 and 2100 Hz.
	VHFBaud, VHFCentreHz, VHFShiftHz = 1200.0, 1700.0, 800.0
)

// Config is complete with SampleRate alone.
type Config struct {
	SampleRate float64 // Hz, 6000 to 192000; required
	VHF        bool    // calls of VHF, whose tones are fixed; otherwise those of MF and HF
	CentreHz   float64 // middle between the tones, meant to ±30 Hz; zero: found. Not on VHF
}

func (c *Config) check() error {
	switch { // written so that NaN fails
	case !(c.SampleRate >= 6000 && c.SampleRate <= 192000):
		return fmt.Errorf("selective calling: sample rate of %g Hz is not between 6000 and 192000", c.SampleRate)
	case c.VHF && c.CentreHz != 0:
		return fmt.Errorf("selective calling: the tones of VHF are fixed: a centre of %g Hz has no place", c.CentreHz)
	case c.CentreHz != 0 && !(c.CentreHz >= LeastCentreHz && c.CentreHz <= MostCentreHz):
		return fmt.Errorf("selective calling: centre of %g Hz is not between %g and %g", c.CentreHz, LeastCentreHz, MostCentreHz)
	}
	return nil
}

// Settings are those with which a call is sent.
type Settings struct {
	VHF      bool
	Inverted bool // B is the lower tone in the audio
}

func (s Settings) String() string {
	return fmt.Sprintf("%.0f Bd, shift %.0f Hz, B %s", s.Baud(), s.ShiftHz(), s.B())
}

// Short is a label.
func (s Settings) Short() string {
	if s.VHF {
		return "VHF"
	}
	return ""
}

// Baud is the number of elements a second.
func (s Settings) Baud() float64 {
	if s.VHF {
		return VHFBaud
	}
	return Baud
}

// ShiftHz is the distance of the tones.
func (s Settings) ShiftHz() float64 {
	if s.VHF {
		return VHFShiftHz
	}
	return UsualShiftHz
}

// B is the tone that is B: lower or higher.
func (s Settings) B() string {
	if s.Inverted {
		return "lower"
	}
	return "higher"
}

// Reversed are the settings as seen in the other sideband.
func (s Settings) Reversed() Settings { return Settings{s.VHF, !s.Inverted} }

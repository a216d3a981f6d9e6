package fax

import "fmt"

// Settings are those with which a chart is sent.
type Settings struct {
	LPM float64 // lines a minute; zero while unknown
	IOC int     // index of cooperation; zero while unknown
}

// Settings are those of what is received.
func (s State) Settings() Settings { return Settings{s.LPM, s.IOC} }

func (s Settings) String() string {
	lines := "line rate unknown"
	if s.LPM != 0 {
		lines = fmt.Sprintf("%g lines a minute", s.LPM)
	}
	return fmt.Sprintf("%s, index %d", lines, s.IOC)
}

// Short is a label; "" while the line rate is not known.
func (s Settings) Short() string {
	if s.LPM == 0 {
		return ""
	}
	return fmt.Sprintf("%.0f/%d", s.LPM, s.IOC)
}

// Differ says that a decoder that is ordered these settings does not receive what is sent with others.
func (s Settings) Differ(others Settings) bool {
	return s.LPM != 0 && others.LPM != 0 && s.LPM != others.LPM || s.IOC != 0 && others.IOC != 0 && s.IOC != others.IOC
}

package cw

import "fmt"

// Settings are those of a transmission.
type Settings struct {
	WPM float64 // words a minute
}

// Settings are those of the transmission that is received.
func (s State) Settings() Settings { return Settings{s.WPM} }

func (s Settings) String() string { return fmt.Sprintf("%.0f words a minute", s.WPM) }

// Short is a label for narrow columns.
func (s Settings) Short() string { return fmt.Sprintf("%.0f WPM", s.WPM) }

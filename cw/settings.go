package cw

import "fmt"

// Settings are those with which a transmission is sent.
type Settings struct {
	WPM float64 // words a minute
}

// Settings are those of what is received.
func (s State) Settings() Settings { return Settings{s.WPM} }

func (s Settings) String() string { return fmt.Sprintf("%.0f words a minute", s.WPM) }

// Short is a label.
func (s Settings) Short() string { return fmt.Sprintf("%.0f WPM", s.WPM) }

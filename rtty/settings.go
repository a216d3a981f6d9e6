package rtty

import (
	"fmt"
	"math"
)

// Settings are those with which a transmission is sent.
type Settings struct {
	Baud, ShiftHz float64
	Polarity      Polarity
	Alphabet      Alphabet
}

// Settings are those of what is received.
func (s State) Settings() Settings { return Settings{s.Baud, s.ShiftHz, s.Polarity, s.Alphabet} }

func (s Settings) String() string {
	return fmt.Sprintf("%.4g Bd, shift %.0f Hz, mark %s, %v", s.Baud, s.ShiftHz, s.Mark(), s.Alphabet)
}

// Short is a label.
func (s Settings) Short() string { return fmt.Sprintf("%.4g Bd, %.0f Hz", s.Baud, s.ShiftHz) }

// Mark is the tone that is mark: lower or higher.
func (s Settings) Mark() string {
	if s.Polarity == MarkHigher {
		return "higher"
	}
	return "lower"
}

// Reversed are the settings as seen in the other sideband.
func (s Settings) Reversed() Settings {
	switch s.Polarity {
	case MarkLower:
		s.Polarity = MarkHigher
	case MarkHigher:
		s.Polarity = MarkLower
	}
	return s
}

// Differ says that a decoder that is ordered these settings does not receive what is sent with others; see [Config].
func (s Settings) Differ(others Settings) bool {
	off := func(x, y, share float64) bool { return x != 0 && y != 0 && math.Abs(x/y-1) > share }
	return off(s.Baud, others.Baud, baudOrder) || off(s.ShiftHz, others.ShiftHz, shiftOrder) || s.Polarity != others.Polarity || s.Alphabet != others.Alphabet
}

// Shares within which an order of Config is meant.
const (
	baudOrder  = 0.02
	shiftOrder = 0.2
)

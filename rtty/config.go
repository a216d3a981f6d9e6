package rtty

import (
	"fmt"
	"slices"
)

// Polarity says which of the tones is mark.
type Polarity uint8

// Polarities. Mark is the lower audio tone in the upper sideband of a signal by ITU-R F.246-3 (from memory).
const (
	EitherPolarity Polarity = iota // find out, by the stop elements
	MarkLower
	MarkHigher
)

func (p Polarity) String() string {
	switch p {
	case EitherPolarity:
		return "either"
	case MarkLower:
		return "mark lower"
	case MarkHigher:
		return "mark higher"
	}
	return fmt.Sprintf("polarity %d", uint8(p))
}

// Ranges in which a decoder finds a signal.
const (
	LeastCentreHz, MostCentreHz = 300.0, 3500.0
	LeastShiftHz, MostShiftHz   = 50.0, 1000.0
)

// Config is complete with SampleRate alone: a zero field is found from the signal, a set one is an order, which also
// speeds the search.
type Config struct {
	SampleRate float64  // Hz, 6000 to 192000; required
	CentreHz   float64  // middle between the tones; an order is the middle of ±30 Hz in which the signal is
	ShiftHz    float64  // distance of the tones; an order is meant to a fifth
	Baud       float64  // elements a second, 40 to 320; an order is meant to 2 %
	Polarity   Polarity // zero: found
	// Alphabets are those to try. None: ITA2 and, at 110 and 300 Bd, ASCII. Of two with five units the first counts.
	Alphabets []Alphabet
	// UnshiftOnSpace returns to letters at a space.
	UnshiftOnSpace bool
}

func (c *Config) check() error {
	switch { // written so that NaN fails
	case !(c.SampleRate >= 6000 && c.SampleRate <= 192000):
		return fmt.Errorf("rtty: sample rate of %g Hz is not between 6000 and 192000", c.SampleRate)
	case c.CentreHz != 0 && !(c.CentreHz >= LeastCentreHz && c.CentreHz <= MostCentreHz):
		return fmt.Errorf("rtty: centre of %g Hz is not between %g and %g", c.CentreHz, LeastCentreHz, MostCentreHz)
	case c.ShiftHz != 0 && !(c.ShiftHz >= LeastShiftHz && c.ShiftHz <= MostShiftHz):
		return fmt.Errorf("rtty: shift of %g Hz is not between %g and %g", c.ShiftHz, LeastShiftHz, MostShiftHz)
	case c.Baud != 0 && !(c.Baud >= 40 && c.Baud <= 320):
		return fmt.Errorf("rtty: %g Bd are not between 40 and 320", c.Baud)
	case c.Polarity > MarkHigher:
		return fmt.Errorf("rtty: unknown %v", c.Polarity)
	}
	for _, a := range c.Alphabets {
		if !a.Known() {
			return fmt.Errorf("rtty: unknown %v", a)
		}
	}
	c.Alphabets = slices.Clone(c.Alphabets)
	return nil
}

// alphabets are those to try at a rate, at most one of each number of units.
func (c *Config) alphabets(baud float64) (list []Alphabet) {
	try := c.Alphabets
	if len(try) == 0 {
		try = []Alphabet{ITA2}
		if baud == 110 || baud == 300 || c.Baud != 0 && baud > 105 {
			try = []Alphabet{ITA2, ASCII7, ASCII8}
		}
	}
	for _, a := range try {
		if !slices.ContainsFunc(list, func(b Alphabet) bool { return a.Units() == b.Units() }) {
			list = append(list, a)
		}
	}
	return list
}

package main

import (
	"fmt"
	"strconv"
	"strings"

	"ionoscribe/internal/quantity"
)

// frequency is the value of a flag: Hz, or with a unit: 7878100, 7878.1kHz, 7.8781MHz. Zero is none.
type frequency float64 // Hz

func (f *frequency) Set(s string) error {
	hz, err := quantity.Hz(s)
	if err != nil || hz < 0 {
		return quantity.ErrFrequency
	}
	*f = frequency(hz)
	return nil
}

func (f *frequency) String() string { return strconv.FormatFloat(float64(*f), 'f', -1, 64) }
func (f *frequency) Type() string   { return "frequency" }

// tuning is where in a band of complex samples a receiver is tuned to: a frequency on the air or, with a sign, one from the
// middle of the band.
type tuning struct {
	hz     float64
	offset bool
	set    bool
}

func (t *tuning) Set(s string) error {
	hz, err := quantity.Hz(s)
	if err != nil {
		return quantity.ErrFrequency
	}
	*t = tuning{hz, strings.HasPrefix(strings.TrimSpace(s), "+") || strings.HasPrefix(strings.TrimSpace(s), "-"), true}
	return nil
}

func (t *tuning) String() string {
	if t.offset || !t.set {
		return fmt.Sprintf("%+g", t.hz)
	}
	return strconv.FormatFloat(t.hz, 'f', -1, 64)
}
func (t *tuning) Type() string { return "frequency" }

// from is how many Hz from the middle of a band that is, whose frequency is given, or 0 if it is not known.
func (t tuning) from(middle float64) (float64, error) {
	switch {
	case !t.set || t.offset:
		return t.hz, nil
	case middle == 0:
		return 0, usageError{fmt.Errorf("--tune %s is a frequency on the air, so the band's is needed: give --dial, its middle, or give how far from the middle with a sign, such as +5500", t.String())}
	}
	return t.hz - middle, nil
}

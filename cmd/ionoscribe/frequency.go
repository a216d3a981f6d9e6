package main

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// frequency is the value of a flag: Hz, or with a unit: 7878100, 7878.1kHz, 7.8781MHz. Zero is none.
type frequency float64 // Hz

var errNoFrequency = errors.New("is not a frequency such as 7878.1kHz, 7.8781MHz or 7878100")

// mostHz is more than any receiver is tuned to.
const mostHz = 1e12

func (f *frequency) Set(s string) error {
	hz, err := parseHz(s)
	if err != nil || hz < 0 {
		return errNoFrequency
	}
	*f = frequency(hz)
	return nil
}

func (f *frequency) String() string { return strconv.FormatFloat(float64(*f), 'f', -1, 64) }
func (f *frequency) Type() string   { return "frequency" }

func parseHz(s string) (hz float64, err error) {
	number, unit := strings.ToLower(strings.TrimSpace(s)), 1.0
	for _, u := range []struct {
		name string
		hz   float64
	}{{"khz", 1e3}, {"mhz", 1e6}, {"ghz", 1e9}, {"hz", 1}} {
		if rest, ok := strings.CutSuffix(number, u.name); ok {
			number, unit = strings.TrimSpace(rest), u.hz
			break
		}
	}
	hz, err = strconv.ParseFloat(number, 64)
	if err != nil || !(math.Abs(hz)*unit <= mostHz) {
		return 0, errNoFrequency
	}
	return hz * unit, nil
}

// tuning is where in a band of complex samples a receiver is tuned to: a frequency on the air or, with a sign, one from the
// middle of the band.
type tuning struct {
	hz     float64
	offset bool
	set    bool
}

func (t *tuning) Set(s string) error {
	hz, err := parseHz(s)
	if err != nil {
		return errNoFrequency
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

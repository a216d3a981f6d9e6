package dsc_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"ionoscribe/internal/traffic"
	"ionoscribe/rtty/dsc"
)

// Calls in symbols, from memory of ITU-R M.493: format specifier, identities of five symbols whose last digit is 0, coordinates behind
// a digit for the quadrant, frequencies in multiples of 100 Hz.
func TestCalls(t *testing.T) {
	for _, c := range []struct {
		line    string
		symbols []dsc.Symbol
		end     dsc.Symbol
	}{
		{"distress alert; from 299000001; nature fire or explosion; position 54-12N 010-33E; time 12:34; then J3E telephone; end none",
			[]dsc.Symbol{112, 29, 90, 0, 0, 10, 100, 5, 41, 20, 10, 33, 12, 34, 109}, 127},
		{"distress alert; from 299000001; nature undesignated; position unknown; time unknown; then F1B mode B; end none",
			[]dsc.Symbol{112, 29, 90, 0, 0, 10, 107, 99, 99, 99, 99, 99, 88, 88, 113}, 127},
		{"individual call; to 002990001; category routine; from 299000001; telecommand J3E telephone; second telecommand no information; receive on 2182.0 kHz; transmit on none; end request",
			[]dsc.Symbol{120, 0, 29, 90, 0, 10, 100, 29, 90, 0, 0, 10, 109, 126, 2, 18, 20, 126, 126, 126}, 117},
		{"all ships call; category safety; from 002990001; telecommand F3E telephone; second telecommand no information; receive on VHF channel 13; transmit on none; end none",
			[]dsc.Symbol{116, 108, 0, 29, 90, 0, 10, 100, 126, 90, 0, 13, 126, 126, 126}, 127},
		{"area call; area 46N 009W, 05 south, 12 east; category urgency; from 299000001; telecommand J3E telephone; second telecommand medical transport; receive on channel 421; transmit on none; end none",
			[]dsc.Symbol{102, 14, 60, 9, 5, 12, 110, 29, 90, 0, 0, 10, 109, 111, 30, 4, 21, 126, 126, 126}, 127},
		{"individual call; to 299000002; category safety; from 299000001; telecommand position or registration; second telecommand no information; position 01-02S 179-59W; time 23:59; end answer",
			[]dsc.Symbol{120, 29, 90, 0, 0, 20, 108, 29, 90, 0, 0, 10, 121, 126, 55, 30, 10, 21, 79, 59, 23, 59}, 122},
	} {
		got, err := dsc.Parse(c.line)
		if err != nil {
			t.Errorf("%s: %v", c.line, err)
			continue
		}
		if !slices.Equal(got.Symbols, c.symbols) || got.End != c.end {
			t.Errorf("%s: %v, %d", c.line, got.Symbols, got.End)
		}
		if back := (dsc.Call{Symbols: c.symbols, End: c.end}).String(); back != c.line {
			t.Errorf("%v: %s, want %s", c.symbols, back, c.line)
		}
	}
}

// What calls of all kinds are in words is what they are read from.
func TestBackAndForth(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for i := range 500 {
		c := traffic.Call(rng, fmt.Sprintf("2990%05d", i))
		back, err := dsc.Parse(c.String())
		if err != nil || !slices.Equal(back.Symbols, c.Symbols) || back.End != c.End {
			t.Fatalf("%v: %v, %v", c, back, err)
		}
	}
}

func TestWrongLines(t *testing.T) {
	good := "distress alert; from 299000001; nature sinking; position unknown; time 12:34; then J3E telephone"
	for _, bad := range []string{"", "distress", "distress alert", strings.Replace(good, "1;", ";", 1), strings.Replace(good, "12:34", "24:00", 1),
		strings.Replace(good, "sinking", "bored", 1), strings.Replace(good, "unknown", "91-00N 000-00E", 1), good + "; end soon",
		good + "; to 299000002", good + "; " + good, good + "; colour red"} {
		if c, err := dsc.Parse(bad); err == nil {
			t.Errorf("%q is read as %v", bad, c)
		}
	}
}

// Symbols that are no call are told as what is wrong with them, whatever they are.
func FuzzFields(f *testing.F) {
	f.Add([]byte{112, 29, 90, 0, 0, 10, 100, 5, 41, 20, 10, 33, 12, 34, 109, 127})
	f.Add([]byte{120, 0})
	f.Fuzz(func(t *testing.T, b []byte) {
		var c dsc.Call
		for _, v := range b {
			c.Symbols = append(c.Symbols, dsc.Symbol(v&127))
		}
		if n := len(c.Symbols); n > 0 {
			c.Symbols, c.End = c.Symbols[:n-1], c.Symbols[n-1]
		}
		if _, err := c.Fields(); err != nil {
			c.Distress()
			return
		}
		back, err := dsc.Parse(c.String())
		if err != nil || back.String() != c.String() {
			t.Errorf("%v: %v, %v", c, back, err)
		}
	})
}

func FuzzParse(f *testing.F) {
	f.Add("distress alert; from 299000001 (a); nature sinking; position 01-02N 003-04E; time 12:34; then data; end none")
	f.Add("area call; area 46N 009W, 05 south, 12 east; )(")
	f.Fuzz(func(t *testing.T, line string) {
		c, err := dsc.Parse(line)
		if err != nil {
			return
		}
		if _, err := c.Fields(); err != nil {
			t.Errorf("%q: %v", line, err)
		}
	})
}

// Countries by the first three digits of an identity, behind what says whose it is (ITU-R M.585, from memory).
func TestCountry(t *testing.T) {
	for identity, want := range map[string]string{"211234567": "Germany", "002110001": "Germany", "021112345": "Germany", "111211123": "Germany",
		"982111234": "Germany", "992111234": "Germany", "338123456": "United States", "299000001": "", "": "", "98": ""} {
		if got := dsc.Country(identity); got != want {
			t.Errorf("%s is of %q, want %q", identity, got, want)
		}
	}
}

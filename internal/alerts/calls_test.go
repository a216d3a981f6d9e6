package alerts

import (
	"slices"
	"strings"
	"testing"
)

// Radio Regulations, Appendix 42, as remembered by another way than the table was: by what series are widely known, and the two
// that are divided within their first two characters.
func TestCountry(t *testing.T) {
	for call, want := range map[string]string{
		"LAA": "Norway", "LNZ": "Norway", "LO": "Argentina", "GZZ": "United Kingdom", "M0": "United Kingdom", "KA": "United States", "N9": "United States",
		"AL7": "United States", "AMA": "Spain", "3DA": "Eswatini", "3DM": "Eswatini", "3DN": "Fiji", "SSA": "Egypt", "SSN": "Sudan",
		"DR": "Germany", "DS": "South Korea", "Y2": "Germany", "C7": "World Meteorological Organization", "4U": "United Nations",
		"jaa": "Japan", "9VA": "Singapore", "OEA": "Austria",
		// Q is kept for the Q code; nothing begins with 0 or 1. One that is divided needs its third letter.
		"QAA": "", "QQ9QQ": "", "0AA": "", "1AA": "", "3D": "", "SS1": "", "": "", "A": "", "É9A": "",
	} {
		if got := Country(call); got != want {
			t.Errorf("%s is of %q, want %q", call, got, want)
		}
	}
}

// Series do not overlap, and all of letters but those of Q, and YZ, are somebody's.
func TestSeries(t *testing.T) {
	const letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	for _, a := range "23456789" + letters {
		for _, b := range letters {
			for _, c := range letters {
				call, n := string([]rune{a, b, c}), 0
				for _, s := range allSeries {
					if call >= s.first && call <= s.last {
						n++
					}
				}
				free := a == 'Q' || strings.HasPrefix(call, "YZ") || strings.HasPrefix(call, "4N")
				if n != 1 && !(free && n == 0) {
					t.Errorf("%s is in %d series", call, n)
				}
			}
		}
	}
	if n := len(Countries()); n < 190 {
		t.Errorf("%d countries", n)
	}
}

func TestReadSeries(t *testing.T) {
	for _, bad := range []string{"", "first,last,country\nAA,AB,X\n", "first,last,country\nABA,AAA,X\n", "first,last,country\nAAA,AAB\n"} {
		if s, err := readSeries(bad); err == nil {
			t.Errorf("%q is read as %v", bad, s)
		}
	}
}

func TestCalls(t *testing.T) {
	saved := allSeries
	defer func() { allSeries = saved }()
	// A country that is invented, with a series of the Q code.
	allSeries = append(slices.Clone(saved), series{"QAA", "QMZ", "Nowhere"})
	rules := []Rule{{Name: "calls", Calls: []string{"QQ9*", "?XYZ"}}, {Name: "countries", Countries: []string{"nowhere"}}}
	for text, want := range map[string]string{
		"CQ CQ DE QQ9QQ QQ9QQ K":          "calls QQ9QQ", // once
		"CQ DE QA9QQ QA9Q":                "countries QA9QQ|countries QA9Q",
		"CQ DE XX/QA9QQ/P":                "countries QA9QQ",
		"CQ CQ DE DXYZ":                   "calls DXYZ",
		"DXYZ DE":                         "", // a word, as far as one knows
		"DE DXYZA":                        "",
		"QQ9QQ\nQQ9QX":                    "calls QQ9QQ|calls QQ9QX",
		"{QQ9}QQ":                         "", // nothing is suffered
		"QQ9QQQQQQ":                       "",
		"QABC DE QAB":                     "countries QAB",
		"99QA 1012HPA 10KT QQ99":          "",
		"DE " + strings.Repeat("QA9", 90): "",
	} {
		var got []string
		for _, h := range printed(t, rules, text) {
			got = append(got, rules[h.rule].Name+" "+h.call)
			if (h.country == "Nowhere") != (h.rule == 1) {
				t.Errorf("%q: %s is of %q", text, h.call, h.country)
			}
		}
		if g := strings.Join(got, "|"); g != want {
			t.Errorf("%q: %q, want %q", text, g, want)
		}
	}
}

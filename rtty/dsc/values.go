package dsc

import (
	"fmt"
	"strconv"
	"strings"
)

// digits are those of symbols, two each; false: one of them is above 99.
func digits(s []Symbol) (string, bool) {
	var b strings.Builder
	for _, v := range s {
		if v > 99 {
			return "", false
		}
		fmt.Fprintf(&b, "%02d", v)
	}
	return b.String(), true
}

// ofDigits are the symbols of an even number of digits.
func ofDigits(d string, count int) (all []Symbol, ok bool) {
	if len(d) != 2*count || strings.Trim(d, "0123456789") != "" {
		return nil, false
	}
	for ; len(d) > 0; d = d[2:] {
		all = append(all, Symbol(10*(d[0]-'0')+d[1]-'0'))
	}
	return all, true
}

// What symbols may be at each place of a part, as far as one symbol tells.
var (
	identityAllows = func(at int, s Symbol) bool { return s <= 99 && (at < 4 || s%10 == 0) }
	areaAllows     = func(at int, s Symbol) bool { return s <= 99 && (at > 0 || s <= 39) }
	positionAllows = func(at int, s Symbol) bool { return s <= 99 && (at > 0 || s <= 39 || s == 99) }
	reportAllows   = func(at int, s Symbol) bool {
		return at == 0 && s == positionFollows || at > 0 && positionAllows(at-1, s)
	}
	timeAllows      = func(at int, s Symbol) bool { return s <= 23 || at == 1 && s <= 59 || s == 88 }
	frequencyAllows = func(_ int, s Symbol) bool { return s <= 99 || s == noInformation }
)

// identityWords are the nine digits of a maritime identity, which a 0 follows, with its country (ITU-R M.585).
func identityWords(s []Symbol) (string, bool) {
	d, ok := digits(s)
	if !ok || d[9] != '0' {
		return "", false
	}
	d = d[:9]
	if c := Country(d); c != "" {
		return d + " (" + c + ")", true
	}
	return d, true
}

func identitySymbols(v string) ([]Symbol, bool) { return ofDigits(v+"0", 5) }

// Coordinates begin with a digit for the quadrant.
var quadrants = []string{"NE", "NW", "SE", "SW"}

const unknown = "unknown"

// positionWords are degrees and minutes: a quadrant, four digits of latitude and five of longitude; nines are unknown.
func positionWords(s []Symbol) (string, bool) {
	d, ok := digits(s)
	if !ok {
		return "", false
	}
	if d == "9999999999" {
		return unknown, true
	}
	if d[0] > '3' || d[1:3] > "90" || d[3:5] > "59" || d[5:8] > "180" || d[8:] > "59" {
		return "", false
	}
	q := quadrants[d[0]-'0']
	return fmt.Sprintf("%s-%s%c %s-%s%c", d[1:3], d[3:5], q[0], d[5:8], d[8:], q[1]), true
}

func positionSymbols(v string) ([]Symbol, bool) {
	if v == unknown {
		return ofDigits("9999999999", 5)
	}
	if len(v) != len("54-12N 010-33E") || v[2] != '-' || v[6] != ' ' || v[10] != '-' {
		return nil, false
	}
	for i, q := range quadrants {
		if q == v[5:6]+v[13:] {
			s, ok := ofDigits(strconv.Itoa(i)+v[0:2]+v[3:5]+v[7:10]+v[11:13], 5)
			if _, is := positionWords(s); !ok || !is {
				return nil, false
			}
			return s, true
		}
	}
	return nil, false
}

// reportWords are a position in place of frequencies.
func reportWords(s []Symbol) (string, bool) {
	if s[0] != positionFollows {
		return "", false
	}
	return positionWords(s[1:])
}

func reportSymbols(v string) ([]Symbol, bool) {
	s, ok := positionSymbols(v)
	return append([]Symbol{positionFollows}, s...), ok
}

// areaWords are a rectangle: its north-western corner in whole degrees, and how far it reaches south and east.
func areaWords(s []Symbol) (string, bool) {
	d, ok := digits(s)
	if !ok || d[0] > '3' || d[1:3] > "90" || d[3:6] > "180" {
		return "", false
	}
	q := quadrants[d[0]-'0']
	return fmt.Sprintf("%s%c %s%c, %s south, %s east", d[1:3], q[0], d[3:6], q[1], d[6:8], d[8:]), true
}

func areaSymbols(v string) ([]Symbol, bool) {
	var lat, lon, south, east int
	var ns, ew rune
	if n, err := fmt.Sscanf(v, "%d%c %d%c, %d south, %d east", &lat, &ns, &lon, &ew, &south, &east); n != 6 || err != nil {
		return nil, false
	}
	for i, q := range quadrants {
		if q == string(ns)+string(ew) {
			s, ok := ofDigits(fmt.Sprintf("%d%02d%03d%02d%02d", i, lat, lon, south, east), 5)
			if !ok {
				return nil, false
			}
			_, ok = areaWords(s)
			return s, ok
		}
	}
	return nil, false
}

// timeWords are hours and minutes in UTC; 8888 is unknown.
func timeWords(s []Symbol) (string, bool) {
	d, ok := digits(s)
	switch {
	case d == "8888":
		return unknown, true
	case !ok || d[:2] > "23" || d[2:] > "59":
		return "", false
	}
	return d[:2] + ":" + d[2:], true
}

func timeSymbols(v string) ([]Symbol, bool) {
	if v == unknown {
		return ofDigits("8888", 2)
	}
	s, ok := ofDigits(strings.Replace(v, ":", "", 1), 2)
	if !ok || len(v) != 5 {
		return nil, false
	}
	_, ok = timeWords(s)
	return s, ok
}

// frequencyWords are six digits: a multiple of 100 Hz, or behind a 3 a channel of MF or HF, behind 90 one of VHF.
func frequencyWords(s []Symbol) (string, bool) {
	if s[0] == noInformation && s[1] == noInformation && s[2] == noInformation {
		return "none", true
	}
	d, ok := digits(s)
	if !ok {
		return "", false
	}
	n, _ := strconv.Atoi(d)
	switch {
	case d[0] <= '2':
		return fmt.Sprintf("%d.%d kHz", n/10, n%10), true
	case d[0] == '3':
		return "channel " + strings.TrimLeft(d[1:], "0"), n > 300000
	case d[:2] == "90":
		return "VHF channel " + strings.TrimLeft(d[2:], "0"), n > 900000
	}
	return "", false
}

func frequencySymbols(v string) ([]Symbol, bool) {
	if v == "none" {
		return []Symbol{noInformation, noInformation, noInformation}, true
	}
	var n, tenth int
	switch {
	case strings.HasSuffix(v, " kHz"):
		if _, err := fmt.Sscanf(v, "%d.%1d kHz", &n, &tenth); err != nil {
			return nil, false
		}
		n = 10*n + tenth
	case strings.HasPrefix(v, "VHF channel "):
		if _, err := fmt.Sscanf(v, "VHF channel %d", &n); err != nil || n > 9999 {
			return nil, false
		}
		n += 900000
	default:
		if _, err := fmt.Sscanf(v, "channel %d", &n); err != nil || n > 99999 {
			return nil, false
		}
		n += 300000
	}
	s, ok := ofDigits(fmt.Sprintf("%06d", n), 3)
	if !ok {
		return nil, false
	}
	_, ok = frequencyWords(s)
	return s, ok
}

package dsc

import (
	"slices"
	"strings"
	"testing"
)

// Each code has the symbol's bits, lowest first with Y for 1, and counts their B, highest bit first (ITU-R M.493, ten-unit code, from
// memory).
func TestCodes(t *testing.T) {
	for s := range Symbol(symbols) {
		code := s.Code().String()
		value, counted := 0, 0
		for i, e := range code[:7] {
			if e == 'Y' {
				value += 1 << i
			}
		}
		for _, e := range code[7:] {
			counted *= 2
			if e == 'Y' {
				counted++
			}
		}
		if value != int(s) || counted != strings.Count(code[:7], "B") {
			t.Errorf("%d is %s", s, code)
		}
		if back, ok := s.Code().Symbol(); !ok || back != s {
			t.Errorf("%d comes back as %d, %v", s, back, ok)
		}
		for u := range Units { // an element that is wrong is noticed
			if _, ok := (s.Code() ^ 1<<u).Symbol(); ok {
				t.Errorf("%d with element %d wrong is taken", s, u)
			}
		}
	}
	for s, want := range map[Symbol]string{0: "BBBBBBBYYY", 1: "YBBBBBBYYB", 125: "YBYYYYYBBY", 111: "YYYYBYYBBY", 104: "BBBYBYYYBB", 127: "YYYYYYYBBB"} {
		if got := s.Code().String(); got != want {
			t.Errorf("%d is %s, want %s", s, got, want)
		}
	}
}

// The places of a call as the figures of ITU-R M.493 have them, from memory: the format specifier twice, each symbol again five places
// later, the end three times in DX places and once in an RX place.
func TestSendings(t *testing.T) {
	c := Call{Symbols: []Symbol{116, 1, 2, 3, 4, 5, 6, 7, 8}, End: 127}
	check := Symbol(116 ^ 1 ^ 2 ^ 3 ^ 4 ^ 5 ^ 6 ^ 7 ^ 8 ^ 127)
	dx := []Symbol{125, 125, 125, 125, 125, 125, 116, 116, 1, 2, 3, 4, 5, 6, 7, 8, 127, check, 127, 127}
	rx := []Symbol{111, 110, 109, 108, 107, 106, 105, 104, 116, 116, 1, 2, 3, 4, 5, 6, 7, 8, 127, check}
	var want, got []Symbol
	for i := range dx {
		want = append(want, dx[i], rx[i])
	}
	for _, code := range Sendings(c) {
		s, ok := code.Symbol()
		if !ok {
			t.Fatalf("%v is sent", code)
		}
		got = append(got, s)
	}
	if !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	e := Elements(c, 4)
	if len(e) != 4+10*len(want) || !slices.Equal(e[:14], []bool{true, false, true, false, false, true, false, false, false, false, false, true, true, false}) {
		t.Errorf("%d elements, the first %v", len(e), e[:14])
	}
}

// The likeliest symbols are those that the check symbol allows, and how sure they are is what all others leave.
func TestDecide(t *testing.T) {
	var a, b likelihood
	for s := range a {
		a[s], b[s] = -50, -50
	}
	a[5], a[6], b[5], b[7] = 0, -1, 0, -2 // both 5: fits; 6 and 7 do not
	got, sure := new(decider).decide(make([]Symbol, 2), []*likelihood{&a, &b})
	if !slices.Equal(got, []Symbol{5, 5}) || sure < 0.9999999 {
		t.Errorf("%v, %v", got, sure)
	}
	b[5], b[6] = -50, -3 // 6 and 6 fit, 5 and 7 do not
	if got, _ = new(decider).decide(got, []*likelihood{&a, &b}); !slices.Equal(got, []Symbol{6, 6}) {
		t.Errorf("%v", got)
	}
}

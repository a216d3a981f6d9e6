package rtty

import (
	"strings"
	"testing"
)

// spelled prints codes as they come: a code of 32 is a character in a hole, whose units say nothing.
func spelled(codes []Code) string {
	var s speller
	s.begin(ITA2, false)
	var b strings.Builder
	print := func() {
		if _, c := s.first(); c.rune != 0 {
			b.WriteRune(c.rune)
		}
	}
	for _, c := range codes {
		r := received{trust: 1}
		for i := range 5 {
			switch {
			case c == 32:
			case c>>i&1 == 1:
				r.units[i] = 50
			default:
				r.units[i] = -50
			}
		}
		s.add(r)
		for s.ready() {
			print()
		}
	}
	for len(s.pending) > 0 {
		print()
	}
	return b.String()
}

// The case changes by a shift alone, however long text makes sense in the other; after a shift that was in a hole it is
// found by the text.
func TestCase(t *testing.T) {
	for _, text := range []string{
		strings.Repeat("RY", 500), strings.Repeat("POWER TO WRITE ", 50), strings.Repeat("46", 300),
		"WE WROTE OUR QUIET PROPERTY REPORT TO YOU", "12345 67890 00000 11111",
	} {
		codes, err := Encoder{}.Encode(text)
		if err != nil {
			t.Fatal(err)
		}
		if got := spelled(codes); got != text {
			t.Errorf("%.60q is printed as %.60q", text, got)
		}
	}
	const text = "BULLETIN FOR ALL SHIPS 12345 67890 24680 GALE WARNING"
	codes, err := Encoder{}.Encode(text)
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range codes {
		if i > 0 && (c == FiguresShift || c == LettersShift) {
			codes[i] = 32
		}
	}
	if got := spelled(codes); got != text {
		t.Errorf("with both shifts in holes: %q", got)
	}
}

// A unit that is in doubt makes no letter of a shift that is sent again and again.
func TestIdleDoubt(t *testing.T) {
	var s speller
	s.begin(ITA2, false)
	for i := range 12 {
		r := received{trust: 1, units: [8]float32{50, 50, 50, 50, 50}}
		if i == 6 {
			r.units[0] = -2
		}
		s.add(r)
	}
	for len(s.pending) > 0 {
		if _, c := s.first(); c.rune != 0 {
			t.Errorf("%q is printed", c.rune)
		}
	}
}

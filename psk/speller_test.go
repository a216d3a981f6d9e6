package psk

import (
	"math"
	"testing"
)

// A bit that is read wrong and is not sure is mended if that makes a character, or two.
func TestSpellerMends(t *testing.T) {
	for _, c := range []struct {
		text  string
		wrong int // bit
		want  string
	}{
		{"Gale", -9, "Gale"},
		{"stop", 5, "stop"}, // the first 0 between s, 10111, and t, 101
		{"stop", 6, "stop"}, // the second
		{"stop", 3, "rtop"}, // what makes another code cannot be known
		{"Önn", -9, "Önn"},
		{"up\r\nNext\nline", -9, "up\nNext\nline"},
	} {
		latin, err := FindCharset("iso-8859-1")
		if err != nil {
			t.Fatal(err)
		}
		text, err := latin.Bytes(c.text)
		if err != nil {
			t.Fatal(err)
		}
		bits := Encode(text)
		s := speller{charset: latin}
		got := ""
		for i, bit := range append([]bool{false, false}, append(bits, false, false)...) {
			ratio := 9.0
			if i == c.wrong+2 {
				bit, ratio = !bit, 1
			}
			if !bit {
				ratio = -ratio
			}
			for _, l := range s.bit(ratio, int64(i)) {
				if !(l.confidence > 0 && l.confidence <= 1) || math.IsNaN(l.confidence) {
					t.Errorf("confidence %v", l.confidence)
				}
				got += string(rune(l.char))
			}
		}
		if got != c.want {
			t.Errorf("%q, bit %d: %q, want %q", c.text, c.wrong, got, c.want)
		}
	}
}

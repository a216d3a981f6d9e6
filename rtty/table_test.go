package rtty

import (
	"encoding/csv"
	"fmt"
	"math/bits"
	"os"
	"strconv"
	"strings"
	"testing"
)

// named are the entries of the table that are words.
var named = map[string]rune{"LF": '\n', "CR": '\r', "SPACE": ' ', "BELL": '␇', "WRU": '␅', "(national)": '□',
	"(32: unused)": 0, "LTRS": 0, "FIGS": 0}

// All 32 patterns in both cases and both variants against testdata/ita2.csv, which names its sources (ITU-T S.1).
func TestITA2(t *testing.T) {
	file, err := os.Open("testdata/ita2.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 33 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows[1:] {
		var c Code
		for i, element := range row[1] { // in the order in which they are sent
			if element == '1' {
				c |= 1 << i
			}
		}
		if number, err := strconv.Atoi(row[0]); err != nil || Code(number) != c {
			t.Errorf("row %q: code %d", row, c)
		}
		for _, column := range []struct {
			a    Alphabet
			s    Shift
			name string
		}{{ITA2, Letters, row[2]}, {ITA2, Figures, row[3]}, {ITA2US, Letters, row[2]}, {ITA2US, Figures, row[4]}} {
			want, ok := named[column.name]
			if !ok {
				want = []rune(column.name)[0]
			}
			next := column.s
			switch column.name {
			case "LTRS":
				next = Letters
			case "FIGS":
				next = Figures
			}
			if r, n := column.a.Decode(c, column.s); r != want || n != next {
				t.Errorf("%v, shift %d, code %s: %q and shift %d, want %q and %d", column.a, column.s, row[1], r, n, want, next)
			}
			if r, n := column.a.Decode(c|0xe0, column.s); r != want || n != next {
				t.Errorf("%v: bits above the code matter: %q, %d", column.a, r, n)
			}
		}
	}
}

// The repertoire of ITU-T S.1, clause 2.1, has no others: A-Z, 0-9 and . , : ? ' + - / = ( ).
func TestRepertoire(t *testing.T) {
	const repertoire = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.,:?'+-/=()"
	for r := rune('!'); r < 0x7f; r++ {
		_, ok := ITA2.find(r)
		if want := strings.ContainsRune(repertoire, r) || r >= 'a' && r <= 'z'; ok != want {
			t.Errorf("%q: %v", r, ok)
		}
	}
}

// ITU-T T.50: graphic characters and controls have the codes of ASCII, seven units. Unicode's control pictures are
// U+2400 and up in the same order. ITU-T V.4 (from memory): even parity.
func TestASCII(t *testing.T) {
	for c := range Code(128) {
		want := rune(c)
		switch {
		case c == 0 || c == 127:
			want = 0
		case c < 32 && c != '\r' && c != '\n':
			want = 0x2400 + rune(c)
		}
		for _, s := range []Shift{Letters, Figures} {
			if r, n := ASCII7.Decode(c, s); r != want || n != s {
				t.Errorf("code %d: %q, want %q", c, r, want)
			}
			for _, eighth := range []Code{0, 0x80} {
				if r, n := ASCII8.Decode(c|eighth, s); r != want || n != s {
					t.Errorf("code %d: %q, want %q", c|eighth, r, want)
				}
			}
		}
		p, ok := ASCII8.find(rune(c))
		if !ok || p.code&0x7f != c || bits.OnesCount8(uint8(p.code))%2 != 0 {
			t.Errorf("%q is sent as %08b", rune(c), p.code)
		}
	}
	if Bell != 0x2407 || WhoAreYou != 0x2405 {
		t.Error("pictures")
	}
}

// With unshift on space a lost letters shift costs a word, without it a line.
func TestUnshiftOnSpace(t *testing.T) {
	codes, err := Encoder{}.Encode("12 AB")
	if err != nil {
		t.Fatal(err)
	}
	var lost []Code
	for _, c := range codes {
		if c != LettersShift {
			lost = append(lost, c)
		}
	}
	for unshift, want := range map[bool]string{false: "12 -?", true: "12 AB"} {
		if got := print(Printer{UnshiftOnSpace: unshift}, lost); got != want {
			t.Errorf("unshift %v: %q, want %q", unshift, got, want)
		}
	}
}

func print(p Printer, codes []Code) string {
	var b strings.Builder
	for _, c := range codes {
		if r := p.Print(c); r != 0 {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// Idle codes print nothing and leave the printer as it was.
func TestIdle(t *testing.T) {
	for a := ITA2; a.Known(); a++ {
		for _, s := range []Shift{Letters, Figures} {
			if r, n := a.Decode(a.Idle(s), s); a.Units() == 5 && (r != 0 || n != s) || r != 0 {
				t.Errorf("%v, shift %d: %q, %d", a, s, r, n)
			}
		}
	}
}

func TestAlphabetNames(t *testing.T) {
	for a, want := range map[Alphabet]string{ITA2: "ITA2", ITA2US: "ITA2 (US)", ASCII7: "7-unit ASCII", ASCII8: "8-unit ASCII", 9: "alphabet 9"} {
		if fmt.Sprint(a) != want || a.Known() != (a != 9) {
			t.Errorf("%v, known %v", a, a.Known())
		}
	}
}

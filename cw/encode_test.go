package cw

import (
	"math"
	"strings"
	"testing"
)

func TestEncode(t *testing.T) {
	for text, want := range map[string]string{
		"CQ de dabc":     "CQ DE DABC",
		" \n A \t\r\n B": "A B",
		"A ":             "A ",
		"<AS>":           "<A̅S̅>",
		"<A̅s̅>":         "<A̅S̅>",
		"<eb>&":          "<A̅S̅><A̅S̅>", // by its pattern
		"<AR><BT><KN>":   "+=(",
		"<qrs>":          "<Q̅R̅S̅>",
		"<VA><VE><CT>":   "<S̅K̅><S̅N̅><K̅A̅>",
		"é ñ Å ø":        "É Ñ Å Ö",
		"3×4":            "3X4",
		"5′ 20″":         "5' 20''", // ITU-R M.1677-1
		"2%":             "2-0/0",   // ITU-R M.1677-1, from memory
		"7 ‰ of %":       "7 0/00 OF 0/0",
		"“its” – isn’t":  `"ITS" - ISN'T`,
		"":               "",
	} {
		symbols, err := Encode(text)
		if err != nil {
			t.Error(err)
		} else if got := Text(symbols); got != want {
			t.Errorf("%q prints %q, want %q", text, got, want)
		}
	}
}

func TestEncodeErrors(t *testing.T) {
	for text, want := range map[string]string{
		"A#B":                        `"#"`,
		"A\xffB":                     `"\xff"`,
		"temp 5°":                    `"°"`,
		"<AS":                        `"<AS"`,
		"<>":                         `"<>"`,
		"<A S>":                      `"<A S>"`,
		"<<AS>>":                     `"<<AS>>"`,
		"AS>":                        `">"`,
		"<" + strings.Repeat("0", 9): `"<000000000"`,
	} {
		if _, err := Encode(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: error %v, want %s in it", text, err, want)
		}
		if _, err := Dots(text); err == nil {
			t.Errorf("%q has a length", text)
		}
	}
}

// What is printed is sent again as the same.
func FuzzEncode(f *testing.F) {
	for _, text := range []string{"CQ DE DABC <AR>", "<S̅O̅S̅> 5% é", "<", "\xff", "<qrs>&×"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		symbols, err := Encode(text)
		if err != nil {
			return
		}
		printed := Text(symbols)
		again, err := Encode(printed)
		if err != nil || Text(again) != printed {
			t.Errorf("%q prints %q, and that %q, error %v", text, printed, Text(again), err)
		}
	})
}

// ITU-R M.1677-1, part I, clause 2: dash 3, gaps 1, 3 and 7 dots; PARIS 10 + 12 + 9 + 12 + 7 as in the worked count of
// the same source's reprint; CODEX 60 from memory.
func TestM1677Clause2(t *testing.T) {
	for text, want := range map[string]int{
		"": 0, "E": 1, "T": 3, "I": 3, "A": 5, "EE": 5, "E E": 9, "E ": 8,
		"P": 11, "PARIS ": 50, "PARIS": 43, "CODEX ": 60, "PARIS PARIS ": 100, "<AS>": 11, "<HH>": 15, "5  ": 16,
	} {
		if got, err := Dots(text); got != want || err != nil {
			t.Errorf("%q has %d dots, want %d; error %v", text, got, want, err)
		}
	}
}

func TestSpeed(t *testing.T) {
	for _, c := range []struct{ wpm, dot float64 }{{25, 0.048}, {20, 0.06}, {12, 0.1}, {60, 0.02}, {5, 0.24}} { // 1.2/WPM
		if got := DotSeconds(c.wpm); math.Abs(got-c.dot) > 1e-12 || math.Abs(WPM(got)-c.wpm) > 1e-12 {
			t.Errorf("%v words a minute: a dot of %v s, back %v", c.wpm, got, WPM(got))
		}
	}
}

// Worked by the formulas of J. Bloom, QEX, April 1990: t_a = (60c - 37.2s)/(sc), t_c = 3t_a/19, t_w = 7t_a/19.
func TestFarnsworth(t *testing.T) {
	for _, c := range []struct{ c, s, gaps, character, word, tolerance float64 }{
		{18, 5, 9.9333, 1.5684, 3.6596, 5e-5},
		{20, 20, 1.14, 0.180, 0.420, 1e-12}, // as without
	} {
		got, err := Farnsworth(c.c, c.s)
		if err != nil {
			t.Fatal(err)
		}
		gaps := 4*got.CharacterGap + got.WordGap
		if math.Abs(got.CharacterGap-c.character) > c.tolerance || math.Abs(got.WordGap-c.word) > c.tolerance || math.Abs(gaps-c.gaps) > c.tolerance {
			t.Errorf("%v/%v: %+v, gaps of %v s in a word", c.c, c.s, got, gaps)
		}
		if word := 31*got.Dot + gaps; math.Abs(word-60/c.s) > 1e-12 { // PARIS has 31 dots within its characters
			t.Errorf("%v/%v: a word of %v s", c.c, c.s, word)
		}
		if plain := NewTiming(c.c); got.Dot != plain.Dot || got.Dash != plain.Dash || got.Gap != plain.Gap || got.Dash != 3*got.Dot {
			t.Errorf("%v/%v: characters of %+v, want %+v", c.c, c.s, got, plain)
		}
	}
	for _, bad := range [][2]float64{{20, 21}, {20, 0}, {20, -1}, {math.NaN(), 5}, {20, math.NaN()}, {math.Inf(1), 5}} {
		if _, err := Farnsworth(bad[0], bad[1]); err == nil {
			t.Errorf("%v/%v: no error", bad[0], bad[1])
		}
	}
}

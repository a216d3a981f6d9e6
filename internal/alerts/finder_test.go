package alerts

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// printed feeds a text character by character and gives what was found. Characters in braces are in doubt.
func printed(t *testing.T, rules []Rule, text string) []hit {
	t.Helper()
	compiled, err := ready(rules)
	if err != nil {
		t.Fatal(err)
	}
	var hits []hit
	found := func(h hit) { hits = append(hits, h) }
	tx, confidence := newText(compiled), 1.0
	for _, r := range text {
		switch r {
		case '{':
			confidence = 0.3
		case '}':
			confidence = 1
		default:
			tx.write(compiled, Event{What: SignalText, Text: string(r), Confidence: confidence}, found)
		}
	}
	tx.end(compiled, found)
	return hits
}

func TestFind(t *testing.T) {
	for _, c := range []struct {
		pattern, text string
		want          string // matches, separated by bars
	}{
		{"gale", "NIL GALE NIL", "GALE"},
		{"gale", "GALE", "GALE"},
		{"gale", "GALE GALE\nGALE", "GALE|GALE|GALE"},
		{"gale", "GALES NIGHTINGALE REGALE", ""}, // whole words
		{"gale*", "GALES GALE", "GALES|GALE"},
		{"*gale", "NIGHTINGALE", "NIGHTINGALE"},
		{"gale warning", "GALE\r\n\r\nWARNING 12", "GALE WARNING"},
		{"gale warning", "GALE, WARNING.", "GALE, WARNING"},
		{"gale-warning", "GALE WARNING", "GALE WARNING"},
		{"gale warning", "GALE NO WARNING", ""},
		{"gale ? of", "GALE 8 OF GALE 10 OF", "GALE 8 OF"},
		{"gale ? of", "GALE\n\n 8 \n OF", "GALE 8 OF"},
		{"gale * of", "GALE TEN OF", "GALE TEN OF"},
		{"sea area *", "SEA AREA NORTH", "SEA AREA NORTH"},
		// In doubt a character may be any other, in less than half of a word.
		{"gale", "G{E}LE", "GELE"},
		{"gale", "GELE", ""},
		{"gale", "G{EI}E", ""},
		{"gale", "{GALE}", "GALE"}, // what is right needs no forbearance
		{"sos", "{I}OS", "IOS"},
		{"to", "{N}O", ""},
		{"gale", "G{?}LE", "G?LE"},
		{"gale", "GA{ }LE", "GA LE"},
		{"gale", "GA LE", ""},
		// One edit in a word of five or more.
		{"storm", "STORK", "STORK"},
		{"storm", "STRM", "STRM"},
		{"storm", "STOARM", "STOARM"},
		{"storm", "TORM", "TORM"},
		{"storm", "STOR", "STOR"},
		{"storm", "ASTORM", "ASTORM"},
		{"storm", "STORMS", "STORMS"},
		{"storm", "STO RM", "STO RM"},
		{"storm", "STARK", ""},
		{"storm", "ST{A}RK", "STARK"}, // one in doubt besides
		{"storm", "S{AA}RK", ""},
		{"storm warning", "STORMWARNING", "STORMWARNING"}, // the gap is missing
		{"gale warning", "GALEWARNING", "GALEWARNING"},
		{"gale force", "GALEFORCE", "GALEFORCE"},
		{"gale here", "GALEHERE", ""},
		{"storm warning", "STERM WARNIG", "STERM WARNIG"},
		// What overlaps is found once.
		{"storm", "STOR M STORM", "STOR|STORM"},
		{"a*", "AB AC", "AB|AC"},
	} {
		var got []string
		for _, h := range printed(t, []Rule{{Name: "x", Text: []string{c.pattern}}}, c.text) {
			got = append(got, h.match)
		}
		if g := strings.Join(got, "|"); g != c.want {
			t.Errorf("%q in %q: %q, want %q", c.pattern, c.text, g, c.want)
		}
	}
}

// Of several patterns that overlap each rule tells once.
func TestFindSeveral(t *testing.T) {
	rules := []Rule{{Name: "a", Text: []string{"gale", "gale warning", "warning"}}, {Name: "b", Text: []string{"gale warning"}}}
	hits := printed(t, rules, "NIL GALE WARNING NIL")
	got := []string{}
	for _, h := range hits {
		got = append(got, rules[h.rule].Name+" "+h.match)
	}
	if want := []string{"a GALE", "a WARNING", "b GALE WARNING"}; !slices.Equal(got, want) {
		t.Errorf("found %q, want %q", got, want)
	}
}

// Letters run together in Morse are those letters: "<T̅H̅>E" is "THE".
func TestFindJoined(t *testing.T) {
	compiled, err := ready([]Rule{{Name: "x", Text: []string{"sos"}}})
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	tx := newText(compiled)
	for _, s := range []string{" ", "<S̅O̅S̅>", " "} {
		tx.write(compiled, Event{Text: s, Confidence: 0.99}, func(hit) { n++ })
	}
	if n != 1 {
		t.Errorf("found %d times", n)
	}
}

// Nothing is allocated for what is not found, and what is kept of a text does not grow.
func TestTextBounded(t *testing.T) {
	compiled, err := ready([]Rule{{Name: "x", Text: []string{"storm warning*", "gale * of"}}, {Name: "y", Calls: []string{"QQ*"}}})
	if err != nil {
		t.Fatal(err)
	}
	tx := newText(compiled)
	none := func(hit) {}
	say := func(text string) {
		for i := range text {
			tx.write(compiled, Event{Text: text[i : i+1], Confidence: 0.9}, none)
		}
	}
	long := strings.Repeat("X", 10000)
	say("GALE ")
	say(long)
	if n := testing.AllocsPerRun(10, func() { say("GALE "); say(long[:1000]); say(" STORM WAITING XQ9QX/ABCDEFGHIJKLMNOPQRSTUVW ") }); n > 2 {
		t.Errorf("%g allocations", n)
	}
	if cap(tx.call) > 4*longestCall {
		t.Errorf("a word of %d bytes is kept", cap(tx.call))
	}
}

// A single word that is printed without doubt is found if it needs one edit at most (V. I. Levenshtein, 1966), or none if it is short;
// one of the same length, if less than half of it is wrong and but one character of that is not in doubt.
func TestFindAsDefined(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	found := 0
	for range 20000 {
		letters := func(n int) []byte {
			b := make([]byte, n)
			for i := range b {
				b[i] = "AB"[rng.IntN(2)]
			}
			return b
		}
		target := letters(1 + rng.IntN(8))
		printed := letters(max(1, len(target)+rng.IntN(4)-1))
		doubtful := rng.IntN(2) == 0 && len(printed) == len(target)
		compiled, err := ready([]Rule{{Text: []string{string(target)}}})
		if err != nil {
			t.Fatal(err)
		}
		tx, n := newText(compiled), 0
		wrong, sureWrong := 0, 0
		for i, c := range printed {
			confidence := 1.0
			if doubtful && rng.IntN(2) == 0 {
				confidence = 0.5
			}
			if doubtful && c != target[i] {
				if wrong++; confidence == 1 {
					sureWrong++
				}
			}
			tx.write(compiled, Event{Text: string(c), Confidence: confidence}, func(hit) { n++ })
		}
		tx.end(compiled, func(hit) { n++ })
		edits := 0
		if len(target) >= 5 {
			edits = 1
		}
		want := levenshtein(target, printed) <= edits
		if doubtful {
			want = want || wrong <= (len(target)-1)/2 && sureWrong <= edits
			if !want && levenshtein(target, printed) <= 2 { // an edit and a doubt may go together in other ways
				continue
			}
		}
		if found += n; (n == 1) != want || n > 1 {
			t.Fatalf("%s in %s, in doubt %t: found %d times, want %t", target, printed, doubtful, n, want)
		}
	}
	if found < 1500 {
		t.Errorf("only %d were to be found", found)
	}
}

func levenshtein(a, b []byte) int {
	if len(a) == 0 || len(b) == 0 {
		return len(a) + len(b)
	}
	d := levenshtein(a[1:], b[1:])
	if a[0] == b[0] {
		return d
	}
	return 1 + min(d, levenshtein(a[1:], b), levenshtein(a, b[1:]))
}

// Whatever is printed, and whatever is looked for.
func FuzzText(f *testing.F) {
	f.Add("gale warning", "NIL GALE\r\n{W}ARNING <S̅O̅S̅>")
	f.Add("a*b ?? c", "AB 12 \xff\x00 DE QQ9QQ/P")
	f.Fuzz(func(t *testing.T, pattern, text string) {
		compiled, err := ready([]Rule{{Text: []string{pattern}}, {Calls: []string{"Q*"}, Countries: []string{"Norway"}}})
		if err != nil {
			return
		}
		for range 2 {
			tx := newText(compiled)
			for i, r := range text {
				tx.write(compiled, Event{Text: string(r), Confidence: float64(i%10) / 10}, func(h hit) {
					if !utf8.ValidString(h.match) || strings.ContainsAny(h.match+h.excerpt, "\n\x00\x1b") {
						t.Errorf("match %q, excerpt %q", h.match, h.excerpt)
					}
				})
			}
			tx.end(compiled, func(hit) {})
		}
	})
}

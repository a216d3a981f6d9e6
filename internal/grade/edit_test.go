package grade

import (
	"math/rand/v2"
	"testing"

	"ionoscribe/internal/nearest"
)

// Against the plain recurrence of Wagner and Fischer; the edits must lead from one text to the other.
func TestAlign(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	text := func(n, letters int) []rune {
		s := make([]rune, n)
		for i := range s {
			s[i] = rune('A' + rng.IntN(letters))
		}
		return s
	}
	for range 400 {
		a := text(rng.IntN(90), 2+rng.IntN(20))
		b := text(rng.IntN(90), 2+rng.IntN(20))
		if rng.IntN(2) == 0 { // a damaged copy
			b = append(text(rng.IntN(4), 26), a...)
			for range rng.IntN(12) {
				if i := rng.IntN(len(b) + 1); i < len(b) {
					b = append(b[:i], b[i+rng.IntN(2):]...)
				}
			}
		}
		e, right := align(a, b)
		kept := 0
		for _, r := range right {
			if r {
				kept++
			}
		}
		if want := nearest.Distance(a, b); e.Total() != want {
			t.Errorf("%q to %q: distance %d, want %d", string(a), string(b), e.Total(), want)
		}
		if kept+e.Substituted+e.Inserted != len(b) || kept+e.Substituted+e.Deleted != len(a) {
			t.Errorf("%q to %q: %+v and %d kept", string(a), string(b), e, kept)
		}
	}
}

// By hand: what stands before the message was not sent, though its first letter is in it.
func TestAlignKeepsLate(t *testing.T) {
	for _, c := range []struct {
		sent, heard, right string
		want               Edits
	}{
		{"GALE", "EG GALE", "...++++", Edits{Inserted: 3}},
		{"GALE NINE", "GAE NXNE", "+++++.++", Edits{Substituted: 1, Deleted: 1}},
		{"", "AB", "..", Edits{Inserted: 2}},
		{"AB", "", "", Edits{Deleted: 2}},
		{"ÅÄ", "ÅÄ", "++", Edits{}},
	} {
		e, right := align([]rune(c.sent), []rune(c.heard))
		marks := ""
		for _, r := range right {
			if r {
				marks += "+"
			} else {
				marks += "."
			}
		}
		if e != c.want || marks != c.right {
			t.Errorf("%q to %q: %+v %s, want %+v %s", c.sent, c.heard, e, marks, c.want, c.right)
		}
	}
}

func BenchmarkAlign(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	sent := make([]rune, 300)
	heard := make([]rune, 300)
	for i := range sent {
		sent[i] = rune('A' + rng.IntN(26))
		heard[i] = sent[i]
		if rng.IntN(20) == 0 {
			heard[i] = '_'
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		align(sent, heard)
	}
}

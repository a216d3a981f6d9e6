package grade

import (
	"testing"

	"ionoscribe/rtty/dsc"
)

// A call is told by the identity of its sender, and is the one that was sent only if nothing of it differs.
func TestNumberedCalls(t *testing.T) {
	for n := range rune(200) {
		c := numbered(firstCall + n)
		if got := number(c); got != firstCall+n {
			t.Fatalf("%v is call %d, want %d", c, got-firstCall, n)
		}
		other := dsc.Call{Symbols: c.Symbols, End: dsc.EndRequest}
		if c.End == dsc.EndRequest {
			other.End = dsc.EndAnswer
		}
		if number(other) != doubtful {
			t.Errorf("%v is taken for %v", other, c)
		}
	}
}

// At -5 dB 3 of 10 000 calls are beyond a receiver that decides on each symbol by itself (theory.DSCCurves): none of 20 may be lost.
func TestDSC(t *testing.T) {
	err := TextGrades{Mode: DSC(false), SNRs: []float64{-5}, Characters: 20, Length: 5, Seed: 3}.Run(t.Context(), func(g TextGrade) {
		if g.Total() > 0 {
			t.Errorf("trial %d: %+v", g.Trial, g.Edits)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
}

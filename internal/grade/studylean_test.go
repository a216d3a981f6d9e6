package grade

import (
	"math/rand/v2"
	"testing"

	"ionoscribe/internal/scenario"
)

// Pages without frame or rule, upright, italic and mixed, lean by at most half a pixel: their clock comes from phasing
// and not from the slant of their letters.
func TestLean(t *testing.T) {
	t.Parallel()
	for i, slope := range []scenario.Slope{scenario.Upright, scenario.Italic, scenario.Mixed} {
		rng := rand.New(rand.NewPCG(uint64(i), 0x6c65616e))
		p := scenario.Page{Typeface: 1 + 2*i, Slope: slope, Seed: rng.Uint64()}
		r, err := leanTrial(rng, p, 0, slope.String())
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%v: %.2f pixels, %s", slope, r.Figure, r.Note)
		if !r.Right {
			t.Errorf("%v: %.2f pixels of lean; %s", slope, r.Figure, r.Note)
		}
	}
}

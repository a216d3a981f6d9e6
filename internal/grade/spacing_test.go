package grade

import (
	"context"
	"strings"
	"testing"
)

// Of learners' Morse, characters far apart, a machine's words are told rightly and a hand's as far as its gaps differ; nobody's
// spacing is lost for good.
func TestCWSpacing(t *testing.T) {
	trials, right := map[string]int{}, map[string]int{}
	err := cwSpacingStudy.Run(context.Background(), 18, 3, func(s StudyTrial) {
		trials[s.Case]++
		if s.Right {
			right[s.Case]++
		} else {
			t.Log(s.Case, s.Note)
		}
		if s.Figure > 25 || strings.HasPrefix(s.Note, spacingIsLost) {
			t.Errorf("%.0f %% errors: %s", s.Figure, s.Note)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("right %v of %v", right, trials)
	if right["machine"] < trials["machine"] || 10*right["hand"] < 7*trials["hand"] {
		t.Errorf("right %v of %v", right, trials)
	}
}

// A space after each character, or none, is told from a wrong one now and then.
func TestSpacingLost(t *testing.T) {
	const sent = "THE TRAIN LEAVES THE HARBOUR AT SIX IN THE EVENING"
	for heard, want := range map[string]bool{
		sent: false,
		"THE TRAIN LEA VES THEHARBOUR AT SIX IN THE EVEN ING":                  false,
		"T H E T R A I N L E A V E S T H E HARBOUR AT SIX IN THE EVENING":      false,
		"THE TRAIN LEAVES THE H A R B O U R A T S I X I N T H E E V E N I N G": true,
		"THE TRAIN LEAVES THE HARBOURATSIXINTHEEVENING":                        true,
	} {
		if got := spacingLost([]rune(sent), []rune(heard)); got != want {
			t.Errorf("%q: %v", heard, got)
		}
	}
}

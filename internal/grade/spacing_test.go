package grade

import (
	"context"
	"testing"
)

// Of learners' Morse, characters far apart, a machine's words are told rightly and a hand's as far as its gaps differ:
// figures of grade study cw-spacing are 100 % and some 60 % right, with a median of 4 % errors of a hand.
func TestCWSpacing(t *testing.T) {
	trials, right := map[string]int{}, map[string]int{}
	err := cwSpacingStudy.Run(context.Background(), 16, 3, func(s StudyTrial) {
		trials[s.Case]++
		if s.Right {
			right[s.Case]++
		} else {
			t.Log(s.Case, s.Note)
		}
		if s.Figure > 25 {
			t.Errorf("%.0f %% errors: %s", s.Figure, s.Note)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	if right["machine"] < trials["machine"]-1 || 3*right["hand"] < trials["hand"] {
		t.Errorf("right %v of %v", right, trials)
	}
}

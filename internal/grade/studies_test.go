package grade

import (
	"testing"
)

// checkStudy runs trials of a study whose seed no constant was chosen on, and asks for a share that are right and, of
// those called sure, a share that are right.
func checkStudy(t *testing.T, s Study, trials int, right, rightOfSure float64) {
	t.Helper()
	var all, sure, both int
	err := s.Run(t.Context(), trials, 77, func(r StudyTrial) {
		if r.Right {
			all++
		}
		if r.Sure {
			sure++
		}
		if r.Sure && r.Right {
			both++
		}
		if !r.Right {
			t.Logf("seed %d, %s: %g %s, sure %v, %s", r.Seed, r.Case, r.Figure, s.Unit, r.Sure, r.Note)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	if got := float64(all) / float64(trials); got < right {
		t.Errorf("%s: %.3f are right, want %.3f", s.Name, got, right)
	}
	if got := float64(both) / float64(max(sure, 1)); got < rightOfSure {
		t.Errorf("%s: of %d called sure %.3f are right, want %.3f", s.Name, sure, got, rightOfSure)
	}
}

func TestFaxPolarityStudy(t *testing.T) { checkStudy(t, faxPolarityStudy, 16, 1, 1) }

func TestFaxFalseStudy(t *testing.T) { checkStudy(t, faxFalseStudy, 8, 1, 1) }

func TestFaxLineStartStudy(t *testing.T) { checkStudy(t, faxLineStartStudy, 12, 0.75, 1) }

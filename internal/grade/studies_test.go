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

func TestFaxPolarityStudy(t *testing.T) { checkStudy(t, faxPolarityStudy, 8, 1, 1) }

func TestFaxFalseStudy(t *testing.T) { checkStudy(t, faxFalseStudy, 8, 1, 1) }

func TestFaxLineStartStudy(t *testing.T) { checkStudy(t, faxLineStartStudy, 8, 0.62, 1) }

// What someone types at 75 Bd, with pauses, is not taken for text of another rate when the receiver makes sure of the rate:
// rates are compared over the same text.
func TestTypedTextKeepsItsRate(t *testing.T) {
	for _, seed := range []uint64{12386178553066447959, 11732391346916627708, 9241436758745692748} {
		if r, err := rttyTextStudy.Trial(t.Context(), seed); err != nil || !r.Right {
			t.Errorf("%v %s", err, r.Note)
		}
	}
}

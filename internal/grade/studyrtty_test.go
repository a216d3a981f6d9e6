package grade

import (
	"context"
	"testing"
)

// Shares of right trials that were reached, with room for one that fails by chance; STUDIES.md has those of more trials.
func TestTeleprinterStudies(t *testing.T) {
	for _, c := range []struct {
		study  Study
		trials int
		wrong  int // at most
		seed   uint64
	}{
		{rttyTextStudy, 8, 0, 3},
		{rttyLostShiftStudy, 8, 1, 3},
		{rttyStartStudy, 8, 0, 3},
		{rttyIdleStartStudy, 7, 0, 82}, // two on paths that fade
	} {
		wrong := 0
		err := c.study.Run(context.Background(), c.trials, c.seed, func(s StudyTrial) {
			if !s.Right {
				t.Logf("%s: %s", c.study.Name, s.Note)
				wrong++
			}
		})
		if err != nil {
			t.Fatal(err)
		}
		if wrong > c.wrong {
			t.Errorf("%s: %d of %d are wrong, want %d at most", c.study.Name, wrong, c.trials, c.wrong)
		}
	}
}

package grade

import (
	"os"
	"strconv"
	"testing"
)

func TestSurveyDev(t *testing.T) {
	n, _ := strconv.Atoi(os.Getenv("SCENES"))
	if n == 0 {
		n = 6
	}
	seed, _ := strconv.ParseUint(os.Getenv("SEED"), 10, 64)
	var table SurveyTable
	err := SurveyGrades{Scenes: n, Seed: seed}.Run(t.Context(), func(g SurveyGrade) {
		table = append(table, g)
		for _, s := range g.Signals {
			a, b, c, d := s.Right()
			if a && b && c && d {
				continue
			}
			if s.Found == nil {
				t.Logf("scene %d: %v %s %.0f Hz %.1f-%.1f %g dB %s: MISSED", g.Scene, s.Kind, s.Detail, s.Hz, s.BeginSeconds, s.EndSeconds, s.SNR, s.Channel)
				continue
			}
			t.Logf("scene %d: %v %s %.0f Hz %.1f-%.1f %g dB %s: %v %+.1f Hz, begin %+.1f end %+.1f SNR %.1f", g.Scene, s.Kind, s.Detail, s.Hz, s.BeginSeconds, s.EndSeconds, s.SNR, s.Channel,
				s.Found.Kind, s.Found.Hz-s.Hz, s.Found.BeginSeconds-s.BeginSeconds, s.Found.EndSeconds-s.EndSeconds, s.Found.SNR)
		}
		for _, f := range g.Split {
			t.Logf("scene %d: SPLIT %v %.0f Hz %.1f-%.1f %.1f dB", g.Scene, f.Kind, f.Hz, f.BeginSeconds, f.EndSeconds, f.SNR)
		}
		for _, f := range g.False {
			t.Logf("scene %d: FALSE %v %.0f Hz %.1f-%.1f %.1f dB %s", g.Scene, f.Kind, f.Hz, f.BeginSeconds, f.EndSeconds, f.SNR, g.Between)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Log(SurveyHeader)
	for _, l := range table.Lines() {
		t.Log(l)
	}
}

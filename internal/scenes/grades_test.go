package scenes

import (
	"strings"
	"testing"

	"ionoscribe/internal/modes"
	"ionoscribe/survey"
)

// Two scenes of eight signals come out right but for a figure at most; those of 300 are graded by the command.
func TestSurveyScenes(t *testing.T) {
	var table Table
	signals, right := 0, 0
	err := Grades{Modes: modes.All, Scenes: 2, Seed: 2}.Run(t.Context(), func(g Grade) {
		table = append(table, g)
		for _, s := range g.Signals {
			signals++
			kind, hz, begin, end := s.Right()
			if !kind {
				t.Errorf("scene %d: %v at %.0f Hz is taken for %+v", g.Scene, s.Kind, s.Hz, s.Found)
			}
			if kind && hz && begin && end {
				right++
			}
		}
		if len(g.False) > 0 {
			t.Errorf("scene %d: %+v were never sent", g.Scene, g.False)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	if signals < 4 || right < signals-1 {
		t.Errorf("%d of %d signals are right", right, signals)
	}
	if all := strings.Join(table.Lines(modes.All), "\n"); !strings.Contains(all, "false findings: 0") {
		t.Error(all)
	}
}

// Signals that sound together are apart, and the same number gives the same scene.
func TestScenes(t *testing.T) {
	for seed := range uint64(30) {
		a, err := NewScene(seed, modes.All)
		if err != nil {
			t.Fatal(err)
		}
		for i, g := range a.Signals {
			if g.BeginSeconds < 0 || g.EndSeconds > a.Seconds || g.SNR < 0 || g.SNR > 30 {
				t.Errorf("scene %d: %+v", seed, g)
			}
			for _, o := range a.Signals[:i] {
				if g.BeginSeconds < o.EndSeconds && o.BeginSeconds < g.EndSeconds && g.low < o.high && o.low < g.high {
					t.Errorf("scene %d: %v at %.0f Hz and %v at %.0f Hz overlap", seed, g.Kind, g.Hz, o.Kind, o.Hz)
				}
			}
		}
		b, err := NewScene(seed, modes.All)
		if err != nil || len(b.Signals) != len(a.Signals) || b.Seconds != a.Seconds {
			t.Errorf("scene %d is another one now", seed)
		}
	}
}

// What is found where nothing was sent is false, speech and static called "other" apart; a second part is no signal.
func TestSurveyScore(t *testing.T) {
	scene := &Scene{Between: "speech", From: 50, To: 68, Signals: []Signal{{Kind: "cw", Hz: 700, low: 670, high: 730, BeginSeconds: 10, EndSeconds: 40}}}
	found := []Found{
		{Kind: survey.Carrier, Hz: 700, LowHz: 695, HighHz: 705, BeginSeconds: 10, EndSeconds: 21},
		{Kind: "cw", Hz: 704, LowHz: 680, HighHz: 720, BeginSeconds: 21, EndSeconds: 41},
		{Kind: survey.Other, Hz: 1500, LowHz: 400, HighHz: 2600, BeginSeconds: 50, EndSeconds: 68},
		{Kind: "fax", Hz: 1900, LowHz: 1500, HighHz: 2300, BeginSeconds: 52, EndSeconds: 60},
	}
	var g Grade
	g.score(scene, found)
	kind, hz, begin, end := g.Signals[0].Right()
	if !kind || !hz || begin || !end || len(g.Split) != 1 || len(g.False) != 1 || g.False[0].Kind != "fax" {
		t.Errorf("%v %v %v %v %+v", kind, hz, begin, end, g)
	}
}

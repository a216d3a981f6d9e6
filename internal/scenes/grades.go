package scenes

import (
	"context"
	"errors"
	"io"
	"math"
	"math/rand/v2"

	"ionoscribe/internal/mode"
	"ionoscribe/internal/trials"
	"ionoscribe/survey"
)

// Bounds within which a figure of a finding is right.
const (
	RightHz      = 5.0
	RightSeconds = 2.0
)

// Grades is a plan of scenes that are surveyed.
type Grades struct {
	Modes  []*mode.Mode
	Scenes int
	Seed   uint64
}

// Found is a finding, in the units of a scene.
type Found struct {
	Kind         survey.Kind `json:"kind"`
	Variant      string      `json:"variant,omitempty"`
	Hz           float64     `json:"hz"`
	LowHz        float64     `json:"low_hz"`
	HighHz       float64     `json:"high_hz"`
	BeginSeconds float64     `json:"begin_seconds"`
	EndSeconds   float64     `json:"end_seconds"`
	KnownSeconds float64     `json:"known_seconds"` // when it was told of first
	SNR          float64     `json:"snr_db"`
}

// Graded is a signal and what was made of it.
type Graded struct {
	Signal
	Found *Found `json:"found"`
}

// Grade is what became of a scene.
type Grade struct {
	Scene   int      `json:"scene"` // from 1
	Seed    uint64   `json:"seed"`
	Seconds float64  `json:"seconds"`
	Between string   `json:"between"`
	Signals []Graded `json:"signals"`
	Split   []Found  `json:"split"` // more findings of a signal
	False   []Found  `json:"false"` // of nothing that was sent; "other" is right for speech and static
}

// Run surveys the scenes, on all cores, and calls each with their grades in order.
func (p Grades) Run(ctx context.Context, each func(Grade)) error {
	return trials.InOrder(ctx, p.Scenes, func(ctx context.Context, i int) (Grade, error) { return p.Trial(ctx, i+1) }, each)
}

// Trial is the scene of a number from 1.
func (p Grades) Trial(ctx context.Context, number int) (Grade, error) {
	seed := rand.NewPCG(p.Seed, uint64(number)).Uint64()
	g := Grade{Scene: number, Seed: seed}
	scene, err := NewScene(seed, p.Modes)
	if err != nil {
		return g, err
	}
	src, err := scene.Source()
	if err != nil {
		return g, err
	}
	found, err := surveyOf(scene, p.Modes, trials.Until(ctx, src).ReadSamples)
	if err != nil {
		return g, err
	}
	g.Seconds, g.Between = scene.Seconds, scene.Between
	g.score(scene, found)
	return g, nil
}

// surveyOf surveys audio to its end.
func surveyOf(scene *Scene, modes []*mode.Mode, read func([]float32) (int, error)) (found []Found, err error) {
	known := map[int]float64{}
	var s *survey.Survey
	note := func(f survey.Finding) { known[f.ID] = float64(s.Total()) / sceneRate }
	s, err = survey.New(survey.Config{SampleRate: sceneRate, Modes: modes}, survey.Events{Found: note, Ended: func(f survey.Finding) {
		variant := ""
		if m := mode.Find(modes, string(f.Kind)); m != nil {
			variant = m.VariantOf(f.Settings)
		}
		found = append(found, Found{f.Kind, variant, f.Hz, f.LowHz, f.HighHz, float64(f.Begin) / sceneRate, float64(f.End) / sceneRate, known[f.ID], f.SNR})
	}})
	if err != nil {
		return nil, err
	}
	block := make([]float32, 4096)
	for {
		n, err := read(block)
		s.Write(block[:n])
		if errors.Is(err, io.EOF) {
			s.Flush()
			return found, nil
		}
		if err != nil {
			return nil, err
		}
	}
}

// overlap is for how many seconds a finding was where a signal was.
func (f *Found) overlap(g *Signal) float64 {
	if f.HighHz < g.low-10 || f.LowHz > g.high+10 {
		return 0
	}
	return math.Min(f.EndSeconds, g.EndSeconds) - math.Max(f.BeginSeconds, g.BeginSeconds)
}

// score gives each signal the finding that was there for longest, those of its kind first.
func (g *Grade) score(scene *Scene, found []Found) {
	g.Split, g.False = []Found{}, []Found{} // not null in JSON
	used := make([]bool, len(found))
	for _, sent := range scene.Signals {
		best, most := -1, 0.0
		for i := range found {
			if v := found[i].overlap(&sent); !used[i] && v > 0 {
				if found[i].Kind == sent.Kind {
					v += 1000
				}
				if v > most {
					best, most = i, v
				}
			}
		}
		s := Graded{Signal: sent}
		if best >= 0 {
			used[best] = true
			s.Found = &found[best]
		}
		g.Signals = append(g.Signals, s)
	}
	for i, f := range found {
		if used[i] {
			continue
		}
		there := false
		for _, sent := range scene.Signals {
			there = there || f.overlap(&sent) > 0
		}
		switch {
		case there:
			g.Split = append(g.Split, f)
		case f.Kind == survey.Other && scene.Between != nothingBetween && f.EndSeconds > scene.From-1 && f.BeginSeconds < scene.To+5:
		default:
			g.False = append(g.False, f)
		}
	}
}

// Right says what of a signal was found rightly.
func (s *Graded) Right() (kind, hz, begin, end bool) {
	f := s.Found
	if f == nil || f.Kind != s.Kind || f.Variant != s.Variant {
		return false, false, false, false
	}
	return true, math.Abs(f.Hz-s.Hz) <= RightHz, math.Abs(f.BeginSeconds-s.BeginSeconds) <= RightSeconds, math.Abs(f.EndSeconds-s.EndSeconds) <= RightSeconds
}

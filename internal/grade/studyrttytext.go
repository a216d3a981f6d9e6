package grade

import (
	"context"
	"math/rand/v2"

	"ionoscribe/internal/traffic"
	"ionoscribe/samples"
)

// rttyTextStudy asks whether text of every kind is printed in the case it was sent in.
var rttyTextStudy = Study{
	Name:   "rtty-text",
	Title:  "what teleprinters send, of every kind and habit, 45 to 100 Bd, 3 dB to clean: no character wrong",
	Unit:   "errors",
	Trials: 500,
	Trial: func(_ context.Context, seed uint64) (StudyTrial, error) {
		s := newRTTYSender(rand.New(rand.NewPCG(seed, 0x72747478)), traffic.Kinds)
		g, err := s.hear(samples.Path{}, nil)
		t := StudyTrial{Case: string(s.kind), Right: g.Total() == 0, Sure: sureOf(g.Calibration), Figure: float64(g.Total()), Note: s.String()}
		if !t.Right {
			t.Note += ": sent " + s.config.Text + ", printed " + g.printed
		}
		return t, err
	},
}

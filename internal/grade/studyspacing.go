package grade

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"

	"ionoscribe/cw"
	"ionoscribe/samples"
)

// cwSpacingStudy asks whether words are told from characters that stand far apart, as they are sent to learners.
var cwSpacingStudy = Study{
	Name:   "cw-spacing",
	Title:  "Morse characters at 15 to 30 words a minute, their text 2 to 5 times slower, 0 to 20 dB: of twenty gaps at most one is wrong",
	Unit:   "errors %",
	Trials: 200,
	Trial: func(_ context.Context, seed uint64) (StudyTrial, error) {
		rng := rand.New(rand.NewPCG(seed, 0x73706163))
		config := samples.CWConfig{SampleRate: cwSampleRate, WPM: 15 + 15*rng.Float64(), Seed: rng.Uint64()}
		config.FarnsworthWPM = config.WPM / (2 + 3*rng.Float64())
		config.PitchHz = cwLowest + (cwHighest-cwLowest)*rng.Float64()
		plain, name := rng.IntN(2) == 0, "machine"
		if rng.IntN(2) == 0 {
			name, config.Sender = "hand", samples.StraightKey
		}
		config.Text = CWCase{Plain: plain}.message(rng, 30+rng.IntN(90))
		snr := 20 * rng.Float64()
		signal, err := samples.NewCW(config)
		if err != nil {
			return StudyTrial{}, err
		}
		src, err := samples.Path{Seed: rng.Uint64(), Noise: &samples.NoiseConfig{SNRdB: snr}}.Through(signal, signal.Power())
		if err != nil {
			return StudyTrial{}, err
		}
		var heard strings.Builder
		for c, err := range cw.All(src, cw.Config{}) {
			if err != nil {
				return StudyTrial{}, err
			}
			heard.WriteString(c.Text)
		}
		sent := signal.Text()
		e, gaps := spaced([]rune(sent), []rune(heard.String()))
		n := float64(len([]rune(sent)))
		return StudyTrial{
			Case: name, Sure: true, Right: float64(gaps) <= n/20, Figure: min(100, 100*float64(e.Total())/n),
			Note: fmt.Sprintf("%.1f words a minute as %.1f, %.1f dB: sent %s, printed %s", config.WPM, config.FarnsworthWPM, snr, sent, heard.String()),
		}, nil
	},
}

// spaced are the edits between texts, and how many spaces of the one that was heard are wrong or missing.
func spaced(sent, heard []rune) (e Edits, wrong int) {
	e, right := align(sent, heard)
	for _, r := range sent {
		if r == ' ' {
			wrong++
		}
	}
	for i, r := range heard {
		switch {
		case r == ' ' && right[i]:
			wrong--
		case r == ' ':
			wrong++
		}
	}
	return e, wrong
}

package grade

import (
	"context"
	"fmt"

	"ionoscribe/internal/trials"
	"ionoscribe/samples"
)

// noiseMinutes is how much pure noise a decoder hears in one go: enough for what it prints before it has got used
// to the noise to weigh little.
const noiseMinutes = 2.0

// NoiseGrade is what a decoder printed of pure noise.
type NoiseGrade struct {
	Mode    string  `json:"mode"`
	Trial   int     `json:"noise_trial"` // 1 on
	Seed    uint64  `json:"seed"`
	Minutes float64 `json:"minutes"`
	Printed int     `json:"printed"` // characters, white space too
	// Sure is how many of them came with a confidence above one half.
	Sure int `json:"printed_above_half"`
}

// NoiseTrials is the number of trials that so many minutes of noise are.
func NoiseTrials(minutes float64) int { return int(minutes/noiseMinutes + 0.999999) }

// RunNoise has the decoder of the plan listen to pure noise for at least so many minutes, on all cores, and calls
// each with what it printed, in order. It returns early if ctx is done.
func (p TextGrades) RunNoise(ctx context.Context, minutes float64, each func(NoiseGrade)) error {
	return trials.InOrder(ctx, NoiseTrials(minutes), func(ctx context.Context, i int) (NoiseGrade, error) {
		g := NoiseGrade{Mode: p.Mode.Name, Trial: i + 1, Minutes: noiseMinutes}
		g.Seed = trialSeed(p.Seed, p.Mode.Name+" noise", nil, 0, g.Trial)
		// The level is that of a signal of full scale at 0 dB; a decoder must not care.
		src, err := samples.NewNoise(samples.Silence(p.Mode.SampleRate, 60*g.Minutes), samples.NoiseConfig{SignalPower: 0.5, Seed: g.Seed})
		if err != nil {
			return g, err
		}
		heard, err := p.Mode.Receive(trials.Until(ctx, src))
		g.Printed = len(heard)
		for _, c := range heard {
			if c.Confidence > 0.5 {
				g.Sure++
			}
		}
		return g, err
	}, each)
}

// NoiseRow sums up the trials of pure noise: a sentence below the table.
type NoiseRow []NoiseGrade

// String is empty if there was no noise.
func (r NoiseRow) String() string {
	minutes, printed, sure := 0.0, 0, 0
	for _, g := range r {
		minutes += g.Minutes
		printed += g.Printed
		sure += g.Sure
	}
	if minutes == 0 {
		return ""
	}
	return fmt.Sprintf("%.1f characters a minute of pure noise, %.2f of them with a confidence above one half (%g minutes)",
		float64(printed)/minutes, float64(sure)/minutes, minutes)
}

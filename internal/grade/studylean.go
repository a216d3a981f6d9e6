package grade

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

// The lean studies ask how well the line clock is found on pages of lettering, whose strokes lean by themselves.

var faxLeanStudy = Study{
	Name:   "fax-lean",
	Title:  "pages of lettering in seven typefaces, upright, italic and mixed, 400 to 1200 lines, 3 to 40 dB: at most half a pixel of lean from top to bottom",
	Unit:   "px",
	Trials: 300,
	Trial: func(_ context.Context, seed uint64) (StudyTrial, error) {
		rng := rand.New(rand.NewPCG(seed, 0x6c65616e))
		p := randomPage(rng)
		return leanTrial(rng, p, 0, fmt.Sprintf("%v, %s", p.Slope, scenario.Typefaces()[p.Typeface]))
	},
}

var faxLeanLateStudy = Study{
	Name:   "fax-lean-late",
	Title:  "the same pages joined up to 40 s after their first line, without their phasing",
	Unit:   "px",
	Trials: 200,
	Trial: func(_ context.Context, seed uint64) (StudyTrial, error) {
		rng := rand.New(rand.NewPCG(seed, 0x6c617465))
		p := randomPage(rng)
		lines := "bare"
		switch {
		case p.Frame:
			lines = "framed"
		case p.Rule:
			lines = "ruled"
		}
		skip := samples.DefaultStartSeconds + samples.DefaultPhasingSeconds + 40*rng.Float64()
		return leanTrial(rng, p, skip, fmt.Sprintf("%s, %v", lines, p.Slope))
	},
}

func randomPage(rng *rand.Rand) scenario.Page {
	return scenario.Page{
		Typeface: rng.IntN(len(scenario.Typefaces())), Slope: scenario.Slope(rng.IntN(3)),
		Frame: rng.IntN(3) == 0, Rule: rng.IntN(3) == 0, Seed: rng.Uint64(),
	}
}

func leanTrial(rng *rand.Rand, p scenario.Page, skip float64, name string) (StudyTrial, error) {
	rows := 400 + rng.IntN(801)
	t := FaxTrial{
		Transmission: samples.FaxConfig{SampleRate: 8000, CentreHz: samples.DefaultCentreHz + 100*(2*rng.Float64()-1)},
		SNR:          3 + 37*rng.Float64(),
		ClockPPM:     worstClockPPM * (2*rng.Float64() - 1),
		SkipSeconds:  skip,
		Seed:         rng.Uint64(),
	}
	st := StudyTrial{Case: name}
	r, err := t.RunLines(p.Draw(scenario.Width, rows))
	if errors.Is(err, ErrMissed) {
		st.Figure, st.Note = scenario.Width, "missed"
		return st, nil
	}
	if err != nil {
		return st, err
	}
	st.Figure = r.ClockPixels
	st.Right = math.Abs(st.Figure) <= 0.5
	deviation := r.Chart.ClockDeviationPPM * 1e-6 * float64(r.Rows*scenario.Width)
	st.Sure = r.Chart.SlantMeasured && 2*deviation <= 0.5
	st.Note = fmt.Sprintf("±%.2f px, %.1f dB, %d rows, frame %v, rule %v, began by %v, two-level %v", deviation, t.SNR, rows, p.Frame, p.Rule, r.Chart.Began, r.Chart.TwoLevel)
	return st, nil
}

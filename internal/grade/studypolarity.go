package grade

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"ionoscribe/fax"
	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

// faxPolarityStudy asks whether black and white are told apart where the picture itself says nothing of it.
var faxPolarityStudy = Study{
	Name:   "fax-polarity",
	Title:  "grey cloud pictures on either sideband, 6 to 25 dB: black is black, and the first line begins within 3 px",
	Unit:   "px",
	Trials: 400,
	Trial:  faxPolarityTrial,
}

func faxPolarityTrial(_ context.Context, seed uint64) (StudyTrial, error) {
	rng := rand.New(rand.NewPCG(seed, 0x706f6c61))
	mirrored := rng.IntN(2) == 0
	picture := scenario.Clouds(scenario.Width, 120+rng.IntN(180), rng.Uint64())
	t := FaxTrial{
		Transmission: samples.FaxConfig{
			Inverted: mirrored, CentreHz: samples.DefaultCentreHz + 100*(2*rng.Float64()-1),
			PhasingSeconds: 10 + 20*rng.Float64(),
		},
		SNR:      6 + 19*rng.Float64(),
		ClockPPM: 400*rng.Float64() - 200,
		Seed:     rng.Uint64(),
		Order:    fax.Config{Plain: true},
	}
	st := StudyTrial{Case: "upper sideband", Sure: true}
	if mirrored {
		st.Case = "lower sideband"
	}
	r, err := t.Run(picture)
	if errors.Is(err, ErrMissed) {
		st.Figure, st.Note = scenario.Width/2, "missed"
		return st, nil
	}
	if err != nil {
		return st, err
	}
	st.Figure = r.StartPixels - r.ClockPixels/2 // in the first line: a lean is another study's
	st.Right = r.Chart.Inverted == mirrored && math.Abs(st.Figure) <= 3
	st.Note = fmt.Sprintf("%.1f dB, inverted %v, phased %v, lean %.1f px", t.SNR, r.Chart.Inverted, r.Chart.PhaseMeasured, r.ClockPixels)
	return st, nil
}

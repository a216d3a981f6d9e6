package grade

import (
	"context"
	"errors"
	"fmt"
	"image"
	"math"
	"math/rand/v2"

	"ionoscribe/fax"
	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

// faxEchoStudy asks whether charts on two paths come out the better, the less noise there is.
var faxEchoStudy = Study{
	Name:   "fax-echo",
	Title:  "charts on two paths that fade, 10 dB to no noise: the echo is found to 0.15 ms; share of the picture's variance that is lost",
	Unit:   "%",
	Trials: 300,
	Trial:  faxEchoTrial,
}

// noiselessDB stands for no noise.
const noiselessDB = 150

func faxEchoTrial(_ context.Context, seed uint64) (StudyTrial, error) {
	rng := rand.New(rand.NewPCG(seed, 0x6563686f))
	channel, err := samples.FindChannel([]string{"mid-quiet", "mid-moderate", "mid-disturbed"}[rng.IntN(3)])
	if err != nil {
		return StudyTrial{}, err
	}
	snr := []float64{10, 20, 30, 40, noiselessDB}[rng.IntN(5)]
	picture := someChart(rng)
	fading := channel.Fading(rng.Uint64())
	st := StudyTrial{Case: fmt.Sprintf("%s, %g dB", channel.Name, snr), Sure: true}
	if snr == noiselessDB {
		st.Case = channel.Name + ", no noise"
	}
	t := someTransmission(rng)
	t.SNR, t.Fading = snr, &fading
	r, err := t.Run(picture)
	if errors.Is(err, ErrMissed) {
		st.Figure, st.Note = 100, "missed"
		return st, nil
	}
	if err != nil {
		return st, err
	}
	late := r.Chart.EchoDelay / fax.VideoRate
	st.Figure = 100 * math.Pow(10, -r.Fidelity/10)
	st.Right = math.Abs(late-channel.DelaySeconds) < 0.15e-3
	st.Note = fmt.Sprintf("fidelity %.1f dB, echo %.2f ms, %d lines", r.Fidelity, 1e3*late, picture.Rect.Dy())
	return st, nil
}

// someChart is a chart of 200 to 400 lines of one style or another.
func someChart(rng *rand.Rand) *image.Gray {
	lines := 200 + rng.IntN(201)
	switch rng.IntN(3) {
	case 0:
		return scenario.Chart(scenario.Width, lines)
	case 1:
		page, _ := scenario.Lettering(scenario.Width, lines, rng.Int64())
		return page
	}
	return scenario.DenseChart(scenario.Width, lines, rng.Int64())
}

// someTransmission is one to a receiver whose clock and tuning are wrong.
func someTransmission(rng *rand.Rand) FaxTrial {
	return FaxTrial{
		Transmission: samples.FaxConfig{CentreHz: samples.DefaultCentreHz + worstTuningHz*(2*rng.Float64()-1)},
		ClockPPM:     worstClockPPM * (2*rng.Float64() - 1),
		Seed:         rng.Uint64(),
	}
}

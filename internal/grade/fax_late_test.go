package grade

import (
	"math"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

// Dark clouds between white margins, joined late, look like a white pulse on black, but what the pulse leaves is no
// noise.
func TestCloudsAreNoPhasing(t *testing.T) {
	t.Parallel()
	phased := 0
	const pages = 4
	for seed := uint64(4); seed < 4+pages; seed++ {
		l := scenario.Layout{Style: "satellite", Left: 60, Right: 80, Seed: seed}
		trial := FaxTrial{
			Transmission: samples.FaxConfig{StartSeconds: -1, PhasingSeconds: -1}, SNR: 12, SkipSeconds: 5.2, Seed: seed,
			Order: fax.Config{Plain: true},
		}
		r, err := trial.RunLines(l.Draw(scenario.Width, 160))
		if err != nil {
			t.Fatal(err)
		}
		if r.Chart.PhaseMeasured {
			t.Errorf("seed %d: phasing was found; the line start is wrong by %.1f pixels", seed, math.Abs(r.StartPixels+10))
			phased++
		}
	}
	t.Logf("phasing was found in %d of %d", phased, pages)
}

// Pages without a frame and without lines down them tell their clock by the blank seam alone.
func TestSeamTellsTheClock(t *testing.T) {
	t.Parallel()
	for i, style := range []string{"aloft", "isobars", "waves", "coast", "ice"} {
		l := scenario.Layout{Style: style, Left: 60, Right: 40, Seed: uint64(i)}
		const rows, ppm = 280, 70
		trial := FaxTrial{
			Transmission: samples.FaxConfig{StartSeconds: -1, PhasingSeconds: -1}, SNR: 12, ClockPPM: ppm - 140*float64(i%2),
			SkipSeconds: 10.2, Seed: uint64(i), Order: fax.Config{Plain: true},
		}
		r, err := trial.RunLines(l.Draw(scenario.Width, rows))
		if err != nil {
			t.Fatal(err)
		}
		start := r.StartPixels - 10
		t.Logf("%s: leans by %.2f pixels, line start wrong by %.2f, confidence %.3f", style, r.ClockPixels, start, r.Chart.LineStartConfidence)
		if math.Abs(start) > 1 || math.Abs(r.ClockPixels) > 1.5 {
			t.Errorf("%s: leans by %.2f pixels, line start wrong by %.2f", style, r.ClockPixels, start)
		}
	}
}

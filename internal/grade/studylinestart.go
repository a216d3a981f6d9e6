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

// faxLineStartStudy asks where a chart that was joined in its middle begins its lines. The page cannot tell how its
// sender shares a blank seam out to the margins of both sides, so the middle of the seam is what is asked for.
var faxLineStartStudy = Study{
	Name:   "fax-line-start",
	Title:  "charts of other layouts joined late, 6 to 20 dB: the line start within 3 px of the middle of the page's seam",
	Unit:   "px",
	Trials: 500,
	Trial:  faxLineStartTrial,
}

// JoinedTrial invents a trial of a layout that the receiver joins some lines late.
func JoinedTrial(seed uint64) (layout scenario.Layout, t FaxTrial, rows, skipped int) {
	rng := rand.New(rand.NewPCG(seed, 0x6a6f696e))
	layout = scenario.RandomLayout(scenario.Width, rng.Uint64())
	rows, skipped = 200+rng.IntN(200), 10+rng.IntN(20)
	t = FaxTrial{
		Transmission: samples.FaxConfig{CentreHz: samples.DefaultCentreHz + 100*(2*rng.Float64()-1), Inverted: rng.IntN(10) == 0,
			StartSeconds: -1, PhasingSeconds: -1},
		SNR:         6 + 14*rng.Float64(),
		ClockPPM:    200*rng.Float64() - 100,
		SkipSeconds: (float64(skipped) + rng.Float64()) / 2,
		Seed:        rng.Uint64(),
		Order:       fax.Config{Plain: true},
	}
	return layout, t, rows + skipped, skipped
}

func faxLineStartTrial(_ context.Context, seed uint64) (StudyTrial, error) {
	layout, t, rows, skipped := JoinedTrial(seed)
	picture := layout.Draw(scenario.Width, rows)
	blank, middle := SeamOf(picture, skipped+1)
	st := StudyTrial{Case: layout.Style}
	if blank < scenario.Width/100 && layout.Frame == 0 {
		st.Case = "neither margin nor frame"
	}
	r, err := t.RunLines(picture)
	if errors.Is(err, ErrMissed) {
		st.Figure, st.Note = scenario.Width/2, "missed"
		return st, nil
	}
	if err != nil {
		return st, err
	}
	st.Figure = math.Remainder(r.StartPixels-middle, scenario.Width)
	st.Right, st.Sure = math.Abs(st.Figure) <= 3, r.Chart.LineStartConfidence >= fax.LeastSure
	st.Note = fmt.Sprintf("%.1f dB, %s, margins %d and %d px, frame %d, blank seam %d, %d rows, leans %.1f px, sure %.2f",
		t.SNR, layout.Style, layout.Left, layout.Right, layout.Frame, blank, r.Chart.Rows, r.ClockPixels*float64(rows-skipped)/float64(rows), r.Chart.LineStartConfidence)
	return st, nil
}

// SeamOf is the blank seam where the sides of a picture meet, from row first on: its width in pixels and its middle,
// from column 0.
func SeamOf(m *image.Gray, first int) (blank int, middle float64) {
	left, right := m.Rect.Dx(), 0
	for y := first; y < m.Rect.Dy(); y++ {
		for x, v := range m.Pix[y*m.Stride:][:m.Rect.Dx()] {
			if v < 128 {
				left, right = min(left, x), max(right, x+1)
			}
		}
	}
	right = m.Rect.Dx() - right
	return left + right, float64(left-right) / 2
}

package grade

import (
	"context"
	"errors"
	"fmt"
	"image"
	"math"
	"math/rand/v2"

	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

// faxFilterStudy asks whether a picture is as good as its signal when the transmitter rounds its edges, and whether
// more noise is never better.
var faxFilterStudy = Study{
	Name: "fax-filter",
	Title: "pictures through a transmitter's filter of 900 to 1600 Hz at 6 to 40 dB: charts reach 20 dB at 30 dB SNR or " +
		"more, and no SNR less than a lower one; greys keep their levels",
	Unit:   "dB",
	Trials: 1600,
	Trial:  faxFilterTrial,
}

// filterLines is the number of lines of a picture: enough to learn the filter from, and quick.
const filterLines = 200

// filterSNRs are the SNRs in dB of the study; the last one is as good as none.
var filterSNRs = [...]float64{6, 10, 20, 30, 40, 90}

// filterShapes are the video filters, and "band-pass" for the filter of a transmitter behind its modulator.
var filterShapes = append(samples.VideoShapes(), "band-pass")

// filterKinds are the kinds of pictures, and whether they are asked for 20 dB.
var filterKinds = []struct {
	name  string
	chart bool
	draw  func(seed int64) *image.Gray
}{
	{"two-level", true, func(seed int64) *image.Gray { return scenario.DenseChart(scenario.Width, filterLines, seed) }},
	{"anti-aliased", true, func(seed int64) *image.Gray { return scenario.SoftChart(scenario.Width, filterLines, seed) }},
	{"lettering", true, func(seed int64) *image.Gray {
		m, _ := scenario.Lettering(scenario.Width, filterLines, seed)
		return m
	}},
	{"clouds", false, func(seed int64) *image.Gray { return scenario.Satellite(scenario.Width, filterLines, seed) }},
	{"mixed", false, func(seed int64) *image.Gray {
		m, chart := scenario.Satellite(scenario.Width, filterLines, seed), scenario.DenseChart(scenario.Width, filterLines, seed)
		for y := range filterLines {
			copy(m.Pix[y*m.Stride+scenario.Width/2:][:scenario.Width/2], chart.Pix[y*chart.Stride+scenario.Width/2:])
		}
		return m
	}},
}

const (
	filterGoal     = 20.0 // dB
	filterGoalFrom = 30.0 // dB SNR
	filterDip      = 0.3  // dB by which a fidelity may be below that of more noise: the trials differ by as much
	filterLevel    = 5.0  // of 255, by which a grey may be off at 20 dB or more
)

// faxFilterTrial makes a picture, a filter, and sends it at all SNRs, the noise being the same but for its strength.
// Each trial is of one SNR; the lower one before it is sent too, for comparison.
func faxFilterTrial(_ context.Context, seed uint64) (StudyTrial, error) {
	rng := rand.New(rand.NewPCG(seed, 0x66696c74))
	kind := filterKinds[rng.IntN(len(filterKinds))]
	step := rng.IntN(len(filterSNRs))
	shape := filterShapes[rng.IntN(len(filterShapes))]
	hz := 900 + 700*rng.Float64()
	t := FaxTrial{
		Transmission: samples.FaxConfig{CentreHz: samples.DefaultCentreHz + 60*(2*rng.Float64()-1)},
		ClockPPM:     200*rng.Float64() - 100,
		Seed:         rng.Uint64(),
	}
	if shape == "band-pass" {
		t.PassHz = [2]float64{t.Transmission.CentreHz - hz, t.Transmission.CentreHz + hz}
	} else {
		t.Transmission.Video = samples.VideoFilter{Shape: shape, Hz: hz}
	}
	picture := kind.draw(int64(rng.Uint64() >> 1))
	run := func(step int) (*FaxResult, error) {
		t.SNR = filterSNRs[step]
		r, err := t.Run(picture)
		if errors.Is(err, ErrMissed) {
			return r, nil
		}
		return r, err
	}
	r, err := run(step)
	if err != nil {
		return StudyTrial{}, err
	}
	st := StudyTrial{Case: fmt.Sprintf("%-12s %2g dB", kind.name, t.SNR), Figure: r.Fidelity, Sure: true}
	if r.Chart == nil {
		st.Note = "missed"
		return st, nil
	}
	st.Note = fmt.Sprintf("%s %.0f Hz, fidelity %.1f dB, textbook %.1f dB", shape, hz, r.Fidelity, r.Textbook)
	st.Right = true
	if step > 0 {
		worse, err := run(step - 1)
		if err != nil {
			return StudyTrial{}, err
		}
		st.Right = r.Fidelity > worse.Fidelity-filterDip
		st.Note += fmt.Sprintf(", %.1f dB at %g dB SNR", worse.Fidelity, filterSNRs[step-1])
	}
	if kind.chart {
		st.Right = st.Right && (filterSNRs[step] < filterGoalFrom || r.Fidelity >= filterGoal)
		return st, nil
	}
	greys := r.Sent.Rect
	if kind.name == "mixed" {
		greys.Max.X = scenario.Width / 2
	}
	off, level := levelError(r.Sent, r.Chart.Image, greys)
	st.Right = st.Right && (filterSNRs[step] < 20 || math.Abs(off) <= filterLevel)
	st.Note += fmt.Sprintf(", level %d off by %.1f", level, off)
	return st, nil
}

package grade

import (
	"image"
	"math"
	"testing"

	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

// A chart with soft edges, as scaling and half tones make them, must not lose by being taken for one of two levels
// when there is little noise. It reaches 0.6 to 0.8 dB below the textbook receiver, which is told the line timing: 0.07
// pixels of slant and line start cost that much here.
func TestSoftEdgesKept(t *testing.T) {
	hard := scenario.Chart(1810, 150)
	soft := image.NewGray(hard.Rect)
	for y := range hard.Rect.Dy() {
		p := hard.Pix[y*hard.Stride:][:1810]
		for x, v := range p {
			soft.Pix[y*soft.Stride+x] = uint8((int(p[max(x-1, 0)]) + 2*int(v) + int(p[min(x+1, 1809)])) / 4)
		}
	}
	for _, snr := range []float64{40, 25} {
		r, err := FaxTrial{Transmission: samples.FaxConfig{SampleRate: 12000, CentreHz: 1930}, SNR: snr, ClockPPM: 60, Seed: 3}.Run(soft)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%g dB: fidelity %.2f dB, textbook %.2f dB", snr, r.Fidelity, r.Textbook)
		if r.Fidelity < r.Textbook-1.1 {
			t.Errorf("%g dB: fidelity %.2f dB, %.2f dB below the textbook receiver", snr, r.Fidelity, r.Textbook-r.Fidelity)
		}
	}
}

// Lines beside greys are freed of what rounded them, and the less noise there is the better they are. Drawn by the
// trellis they had 20.0 dB at 30 dB SNR.
func TestMixedSharpened(t *testing.T) {
	t.Parallel()
	m, chart := scenario.Satellite(scenario.Width, 110, 1), scenario.DenseChart(scenario.Width, 110, 1)
	for y := range 110 {
		copy(m.Pix[y*m.Stride+scenario.Width/2:][:scenario.Width/2], chart.Pix[y*chart.Stride+scenario.Width/2:])
	}
	last := 0.0
	for _, c := range []struct{ snr, want float64 }{{20, 16}, {30, 20}} {
		video := samples.VideoFilter{Shape: "gaussian", Hz: 1200}
		r, err := FaxTrial{Transmission: samples.FaxConfig{CentreHz: 1915, Video: video}, SNR: c.snr, ClockPPM: 30, Seed: 101}.Run(m)
		if err != nil {
			t.Fatal(err)
		}
		off, level := levelError(r.Sent, r.Chart.Image, image.Rect(0, 0, scenario.Width/2, 110))
		t.Logf("%g dB: fidelity %.2f dB, textbook %.2f dB, level %d off by %.1f", c.snr, r.Fidelity, r.Textbook, level, off)
		if r.Fidelity < c.want || r.Fidelity < last {
			t.Errorf("%g dB: fidelity %.2f dB, want %g and more than %.2f", c.snr, r.Fidelity, c.want, last)
		}
		if math.Abs(off) > 3 {
			t.Errorf("%g dB: level %d is off by %.1f", c.snr, level, off)
		}
		last = r.Fidelity
	}
}

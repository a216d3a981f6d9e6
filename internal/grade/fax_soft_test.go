package grade

import (
	"image"
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

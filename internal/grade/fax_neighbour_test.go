package grade

import (
	"image"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

// Neighbours beside a chart and in it: 90 dB are reached (not a pixel is wrong), and one wrong stroke is 20 dB less.
func TestNeighbour(t *testing.T) {
	t.Parallel()
	chart := scenario.DenseChart(scenario.Width, 120, 5)
	for name, c := range map[string]struct {
		other samples.Interferer
		want  float64 // dB
	}{
		"carrier outside": {samples.Interferer{Source: samples.CarrierAt(700), LevelDB: 10}, 60},
		"Morse inside":    {samples.Interferer{Source: samples.MorseAt(2030), LevelDB: -10}, 36},
		// 10.9 dB and 18 dB while the lines beside those that stand out were left, and noise was told from what is around a line.
		"teleprinter outside": {samples.Interferer{Source: samples.TeleprinterAt(2950), LevelDB: 8}, 36},
		"speech outside":      {samples.Interferer{Source: samples.SomeSpeech, OffsetHz: 2900, LevelDB: 5}, 36},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r, err := FaxTrial{SNR: 20, Seed: 7, Others: []samples.Interferer{c.other}}.Run(chart)
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("fidelity %.2f dB, ended by %v", r.Fidelity, r.Chart.Ended)
			if r.Fidelity < c.want {
				t.Errorf("fidelity %.2f dB, want %.1f", r.Fidelity, c.want)
			}
		})
	}
}

// Morse in a chart that fades on two paths: alone it reaches 24.4 dB, and 2.5 dB were left while its greys, which are
// fades, kept it from being taken off.
func TestNeighbourFading(t *testing.T) {
	t.Parallel()
	chart := scenario.DenseChart(scenario.Width, 220, 5).SubImage(image.Rect(0, 50, scenario.Width, 170)).(*image.Gray)
	channel, err := samples.FindChannel("mid-moderate")
	if err != nil {
		t.Fatal(err)
	}
	fading := channel.Fading(10)
	r, err := FaxTrial{SNR: 20, Seed: 7, Fading: &fading, Others: []samples.Interferer{{Source: samples.MorseAt(1700), LevelDB: -10}}}.Run(chart)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("fidelity %.2f dB, echo %.2f ms", r.Fidelity, 1e3*r.Chart.EchoDelay/fax.VideoRate)
	if r.Fidelity < 10 {
		t.Errorf("fidelity %.2f dB", r.Fidelity)
	}
}

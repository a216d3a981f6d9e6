package grade

import (
	"testing"

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
		// 23.5 dB while the skirts of its spectrum were taken for the picture's errors, which made its edges seem soft.
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

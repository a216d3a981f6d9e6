package grade

import (
	"fmt"
	"math"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

// Charts on two paths that fade: the delays are those of ITU-R F.1487. The textbook receiver, which is told the timing
// of the first path, reaches 1 to 4 dB there. The bounds are within 1 dB of what is reached.
// "ionoscribe grade study fax-echo" has more channels and ratios.
func TestEcho(t *testing.T) {
	t.Parallel()
	chart := scenario.DenseChart(1810, 160, 1)
	for _, c := range []struct {
		channel   string
		snr, want float64 // dB
	}{
		{"mid-moderate", 10, 6.3}, {"mid-disturbed", 20, 18.7}, {"mid-moderate", noiselessDB, 29.3},
	} {
		t.Run(fmt.Sprintf("%s %g dB", c.channel, c.snr), func(t *testing.T) {
			t.Parallel()
			channel, err := samples.FindChannel(c.channel)
			if err != nil {
				t.Fatal(err)
			}
			fading := channel.Fading(3)
			r, err := FaxTrial{Transmission: samples.FaxConfig{CentreHz: 1943}, SNR: c.snr, ClockPPM: 87, Seed: 7, Fading: &fading}.Run(chart)
			if err != nil {
				t.Fatal(err)
			}
			echo := r.Chart.EchoDelay / fax.VideoRate
			t.Logf("%g dB: fidelity %.2f dB, textbook %.2f, echo %.2f ms, clock error %.2f and line start %.2f pixels", c.snr, r.Fidelity, r.Textbook, 1e3*echo, r.ClockPixels, r.StartPixels)
			if math.Abs(echo-channel.DelaySeconds) > 0.15e-3 {
				t.Errorf("echo after %.2f ms, sent %.2f", 1e3*echo, 1e3*channel.DelaySeconds)
			}
			if r.Fidelity < c.want {
				t.Errorf("fidelity %.2f dB, want %.1f", r.Fidelity, c.want)
			}
		})
	}
}

// One path that fades has no echo, and neither has a picture with greys.
func TestNoEcho(t *testing.T) {
	t.Parallel()
	chart, greys := scenario.DenseChart(1810, 160, 1), scenario.Satellite(1810, 160, 1)
	quiet, flat := samples.Channels[5].Fading(3), samples.FadingConfig{SpreadHz: 0.5, Seed: 4}
	for name, trial := range map[string]FaxTrial{"flat 20 dB": {SNR: 20, Fading: &flat}, "flat 6 dB": {SNR: 6, Fading: &flat}, "greys": {SNR: 10, Fading: &quiet}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := chart
			if name == "greys" {
				m = greys
			}
			trial.Seed = 7
			r, err := trial.Run(m)
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("fidelity %.2f dB, textbook %.2f", r.Fidelity, r.Textbook)
			if r.Chart.EchoDelay != 0 {
				t.Errorf("an echo after %.2f ms", r.Chart.EchoDelay/fax.VideoRate*1e3)
			}
		})
	}
}

package grade

import (
	"fmt"
	"image"
	"math"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

// Charts on two paths that fade: the delays are those of ITU-R F.1487. The textbook receiver, which is told the timing
// of the first path, reaches 1 to 4 dB there. The bounds are within 1 dB of what is reached. TestLongEcho has more, and
// "ionoscribe grade study fax-echo" more channels and ratios.
func TestEcho(t *testing.T) {
	t.Parallel()
	checkEcho(t, echoCase{"mid-moderate", 10, 6.3})
}

type echoCase struct {
	channel   string
	snr, want float64 // dB
}

// checkEcho asks for the fidelity that is wanted and for the channel's delay.
func checkEcho(t *testing.T, cases ...echoCase) {
	chart := scenario.DenseChart(1810, 160, 1)
	for _, c := range cases {
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

// One path that fades has no echo, and neither has a picture with greys. TestLongNoEcho has a better signal.
func TestNoEcho(t *testing.T) {
	t.Parallel()
	t.Run("flat", func(t *testing.T) { checkNoEcho(t, scenario.DenseChart(1810, 160, 1), 6, flatFading) })
	t.Run("greys", func(t *testing.T) {
		checkNoEcho(t, scenario.Satellite(1810, 160, 1), 10, samples.Channels[5].Fading(3))
	})
}

// flatFading is one path.
var flatFading = samples.FadingConfig{SpreadHz: 0.5, Seed: 4}

func checkNoEcho(t *testing.T, m *image.Gray, snr float64, fading samples.FadingConfig) {
	t.Parallel()
	r, err := FaxTrial{SNR: snr, Fading: &fading, Seed: 7}.Run(m)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%g dB: fidelity %.2f dB, textbook %.2f", snr, r.Fidelity, r.Textbook)
	if r.Chart.EchoDelay != 0 {
		t.Errorf("%g dB: an echo after %.2f ms", snr, r.Chart.EchoDelay/fax.VideoRate*1e3)
	}
}

package rtty_test

import (
	"strings"
	"testing"

	"ionoscribe/rtty"
	"ionoscribe/samples"
)

// Idle with shifts looks the same at some other rates, and with two stop elements in two framings of figures shifts: the
// text is right all the same, and nothing comes after it.
func TestIdleShifts(t *testing.T) {
	typed := strings.Repeat("XV8JKO DE XZ9YX QTC 8 AR K\n", 3) + "XS7AR"
	for _, c := range []struct {
		config samples.RTTYConfig
		snr    float64
	}{
		{samples.RTTYConfig{Text: typed, Baud: 75, StopElements: 1.5, GapSeconds: 0.28}, 20},
		{samples.RTTYConfig{Text: typed, Baud: 100, StopElements: 1.5, GapSeconds: 0.28}, 40},
		{samples.RTTYConfig{Text: "BBXX XS5VN 28064 99187 31651 34742 35565 44812=", Baud: 100, StopElements: 2, TrailSeconds: 3}, 6},
	} {
		c.config.Diddle, c.config.LeadSeconds, c.config.SampleRate = true, 2, 12000
		for c.config.Seed = range uint64(4) {
			s, err := samples.NewRTTY(c.config)
			if err != nil {
				t.Fatal(err)
			}
			text, _ := hear(t, read(t, s, s.Power(), c.snr), rtty.Config{SampleRate: c.config.SampleRate})
			if text != c.config.Text {
				t.Errorf("%g Bd, seed %d: %q", c.config.Baud, c.config.Seed, text)
			}
		}
	}
}

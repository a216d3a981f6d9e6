package grade

import (
	"context"
	"testing"

	"ionoscribe/samples"
)

// Phase telegraphy by a seed on which nothing was chosen: characters that are wrong, of 1800. Reached are
// 0.06, 0.6 and 0.9 %.
func TestPSK31(t *testing.T) {
	for _, c := range []struct {
		channel   string
		snr, most float64
	}{
		{"", -10.5, 0.002},
		{"mid-quiet", 8, 0.009},
		{"mid-moderate", 8, 0.014},
	} {
		plan := TextGrades{Mode: PSK31(PSK31Case{}), SNRs: []float64{c.snr}, Characters: 1800, Length: 300, Seed: 77}
		if c.channel != "" {
			channel, err := samples.FindChannel(c.channel)
			if err != nil {
				t.Fatal(err)
			}
			plan.Channel = &channel
		}
		var row TextRow
		if err := plan.Run(context.Background(), func(g TextGrade) { row = append(row, g) }); err != nil {
			t.Fatal(err)
		}
		wrong := row.ErrorRate().Value
		t.Logf("%s, %g dB: %.4f", channelName(plan.Channel), c.snr, wrong)
		if wrong > c.most {
			t.Errorf("%s, %g dB: %.4f of the characters are wrong, want %.4f at most", channelName(plan.Channel), c.snr, wrong, c.most)
		}
	}
}

package grade

import (
	"context"
	"testing"

	"ionoscribe/samples"
)

// Mode B by a seed on which nothing was chosen: characters that are wrong or doubtful, of 3000. Reached are 0.07, 0.37 and 0 %.
func TestModeB(t *testing.T) {
	channel := func(name string) *samples.Channel {
		c, err := samples.FindChannel(name)
		if err != nil {
			t.Fatal(err)
		}
		return &c
	}
	cases := map[string]ModeBCase{}
	for _, c := range ModeBCases() {
		c.DoubtfulWrong = true
		cases[c.Name] = c
	}
	for _, c := range []struct {
		name    string
		channel *samples.Channel
		snr     float64
		most    float64
	}{
		{"usual", nil, -6, 0.0016},
		{"usual", channel("mid-moderate"), 5, 0.006},
		{"three", nil, -8, 0.002},
	} {
		sent, wrong := 0, 0
		plan := TextGrades{Mode: ModeB(cases[c.name]), SNRs: []float64{c.snr}, Channel: c.channel, Characters: 3000, Length: 300, Seed: 77}
		if err := plan.Run(context.Background(), func(g TextGrade) {
			sent += g.Sent
			wrong += g.Substituted + g.Inserted + g.Deleted
		}); err != nil {
			t.Fatal(err)
		}
		share := float64(wrong) / float64(sent)
		t.Logf("%s, %s, %g dB: %.4f", c.name, channelName(c.channel), c.snr, share)
		if share > c.most {
			t.Errorf("%s, %s, %g dB: %.4f of %d characters are wrong or doubtful, want %.4f at most", c.name, channelName(c.channel), c.snr, share, sent, c.most)
		}
	}
}

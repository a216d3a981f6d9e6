package grade

import (
	"context"
	"testing"

	"ionoscribe/samples"
)

// Error rates that were reached, with room for what changes by chance; the theory for white noise at -6 dB is 0.25 %.
func TestRTTYErrorRates(t *testing.T) {
	cases := map[string]RTTYCase{}
	for _, c := range RTTYCases() {
		c.Drill = true
		cases[c.Name] = c
	}
	moderate, err := samples.FindChannel("mid-moderate")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name    string
		channel *samples.Channel
		snr     float64
		most    float64
	}{
		{"usual", nil, -6, 0.01},
		{"usual", &moderate, 10, 0.015},
		{"wide", nil, -5.5, 0.01},
		{"carrier", nil, 0, 0.005},
		{"crashes-5ms", nil, 0, 0.005},
		{"crashes-30ms", nil, 0, 0.04},
		{"off-rate", nil, 0, 0.005},
	} {
		p := TextGrades{Mode: RTTY(cases[c.name]), SNRs: []float64{c.snr}, Channel: c.channel, Characters: 600, Length: 300, Seed: 1}
		var row TextRow
		if err := p.Run(context.Background(), func(g TextGrade) { row = append(row, g) }); err != nil {
			t.Fatal(err)
		}
		if rate := row.ErrorRate().Value; rate > c.most {
			t.Errorf("%s at %v dB: %.2f %% of errors, want %.2f %% at most", c.name, c.snr, 100*rate, 100*c.most)
		}
		for _, g := range row {
			if g.FirstRight == nil || *g.FirstRight > 2 {
				t.Errorf("%s: the first right character came late", c.name)
			}
		}
	}
}

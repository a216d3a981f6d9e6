package survey_test

import (
	"slices"
	"strings"
	"testing"

	"ionoscribe/psk"
	"ionoscribe/samples"
	"ionoscribe/survey"
)

// Signals in phase telegraphy 60 Hz apart, of unequal strength, are each a finding, and nothing else is. Two in three have four phases,
// on one sideband or the other.
func TestPhaseTelegraphy(t *testing.T) {
	const text = "gale warning Ostrel Sea: southwest 8 backing south 9 soon, visibility moderate "
	kinds := []psk.Settings{{}, {QPSK: true}, {QPSK: true, Inverted: true}}
	levels := []float64{5, -3, 8, -2, 5, 0}
	var all []sent
	for i, snr := range levels {
		k := kinds[i%len(kinds)]
		p, err := samples.NewPSK31(samples.PSK31Config{
			SampleRate: rate, Text: strings.Repeat(text[10*i:]+text[:10*i], 2), QPSK: k.QPSK, Inverted: k.Inverted, PitchHz: 600 + 60*float64(i),
		})
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, sent{p, p.Power(), 3 + 0.7*float64(i), snr})
	}
	_, ended := find(t, add(t, noise(t, 60), all...), 4096)
	slices.SortFunc(ended, func(a, b survey.Finding) int { return int(a.Hz - b.Hz) })
	if len(ended) != len(levels) {
		t.Fatalf("%+v", ended)
	}
	for i, f := range ended {
		begin := all[i].begin * rate
		if f.Kind != "psk31" || f.Settings != kinds[i%len(kinds)] || !near(f.Hz, 600+60*float64(i), 1) || !near(f.SNR, levels[i], 3) || !near(float64(f.Begin), begin, 2*rate) {
			t.Errorf("%+v", f)
		}
	}
}

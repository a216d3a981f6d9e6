package survey_test

import (
	"testing"

	"ionoscribe/internal/modes"
	"ionoscribe/rtty/dsc"
	"ionoscribe/samples"
	"ionoscribe/survey"
)

// A selective call of five to seven seconds is found, strong or weak, with a short or a long dot pattern, whose lines are not taken for
// those of a control tone.
func TestSelectiveCall(t *testing.T) {
	const rate, begins = 8000, 6.0
	call, err := dsc.Parse("distress alert; from 299000001; nature sinking; position unknown; time unknown; then J3E telephone")
	if err != nil {
		t.Fatal(err)
	}
	for _, snr := range []float64{0, 15, 25} {
		for _, dots := range []int{dsc.ShortDots, dsc.LongDots} {
			k, err := samples.NewDSC(samples.DSCConfig{Call: call, Dots: dots, KeyedConfig: samples.KeyedConfig{SampleRate: rate}})
			if err != nil {
				t.Fatal(err)
			}
			src, err := samples.Concat(samples.Silence(rate, begins), k, samples.Silence(rate, 10))
			if err != nil {
				t.Fatal(err)
			}
			n, err := samples.NewNoise(src, samples.NoiseConfig{SignalPower: k.Power(), SNRdB: snr, Seed: 1})
			if err != nil {
				t.Fatal(err)
			}
			x, err := samples.ReadAll(n)
			if err != nil {
				t.Fatal(err)
			}
			var found []survey.Finding
			s, err := survey.New(survey.Config{SampleRate: rate, Modes: modes.All}, survey.Events{Ended: func(f survey.Finding) { found = append(found, f) }})
			if err != nil {
				t.Fatal(err)
			}
			s.Write(x)
			s.Flush()
			if len(found) != 1 || found[0].Kind != "dsc" {
				t.Errorf("%g dB, %d dots: %+v", snr, dots, found)
				continue
			}
			from, to := float64(found[0].Begin)/rate, float64(found[0].End)/rate
			if from < begins-0.5 || from > begins+0.5 || to < begins+k.Duration()-0.5 || to > begins+k.Duration()+0.5 {
				t.Errorf("%g dB, %d dots: from %.1f to %.1f s", snr, dots, from, to)
			}
		}
	}
}

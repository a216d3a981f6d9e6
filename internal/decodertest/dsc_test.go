package decodertest

import (
	"testing"

	"ionoscribe/demod"
	"ionoscribe/rtty/dsc"
	"ionoscribe/samples"
)

// A call, and the same one again and again, both in noise.
func TestDSC(t *testing.T) {
	const rate = 8000
	call, err := dsc.Parse("distress alert; from 299000001; nature sinking; position unknown; time unknown; then J3E telephone")
	if err != nil {
		t.Fatal(err)
	}
	send := func(times int, snr float64) []float32 {
		var parts []demod.SampleReader
		for range times {
			k, err := samples.NewDSC(samples.DSCConfig{Call: call, Dots: dsc.ShortDots, KeyedConfig: samples.KeyedConfig{SampleRate: rate}})
			if err != nil {
				t.Fatal(err)
			}
			parts = append(parts, k)
		}
		s, err := samples.Concat(parts...)
		if err != nil {
			t.Fatal(err)
		}
		return noisy(t, s, samples.DefaultAmplitude*samples.DefaultAmplitude/2, snr)
	}
	Contract{
		New: func(heard func(Event)) Decoder {
			d, err := dsc.New(dsc.Config{SampleRate: rate}, dsc.Events{
				Call:  func(r dsc.Reception) { heard(Event{r.At, digest(r.Call.String(), r.Sure, r.State.CentreHz)}) },
				State: func(s dsc.State) { heard(Event{s.At, digest("", s.CentreHz, s.SNR)}) },
			})
			if err != nil {
				t.Fatal(err)
			}
			return d
		},
		Signal:   send(1, 3),
		Lasting:  send(28, 0),
		IdleWarm: 10 * rate, ReceivingWarm: 30 * rate, Measured: 40 * rate,
		KeptAllocations: 400, // for the words of eight calls
	}.Run(t)
}

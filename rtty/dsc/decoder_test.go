package dsc_test

import (
	"math/rand/v2"
	"testing"

	"ionoscribe/demod"
	"ionoscribe/rtty/dsc"
	"ionoscribe/samples"
)

const rate = 12000

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

const distress = "distress alert; from 299000001; nature fire or explosion; position 54-12N 010-33E; time 12:34; then J3E telephone"

// sent is a call in noise, with silence before and behind.
func sent(t testing.TB, line string, c samples.DSCConfig, snr float64, seed uint64) []float32 {
	t.Helper()
	var err error
	c.Call, err = dsc.Parse(line)
	must(t, err)
	c.SampleRate = rate
	k, err := samples.NewDSC(c)
	must(t, err)
	src, err := samples.Concat(samples.Silence(rate, 2), k, samples.Silence(rate, 2))
	must(t, err)
	var s demod.SampleReader
	s, err = samples.NewNoise(src, samples.NoiseConfig{SNRdB: snr, SignalPower: k.Power(), Seed: seed})
	must(t, err)
	x, err := samples.ReadAll(s)
	must(t, err)
	return x
}

// hear receives samples in blocks.
func hear(t testing.TB, c dsc.Config, x []float32) (all []dsc.Reception) {
	t.Helper()
	c.SampleRate = rate
	d, err := dsc.New(c, dsc.Events{Call: func(r dsc.Reception) { all = append(all, r) }})
	must(t, err)
	for len(x) > 0 {
		n := min(len(x), 1000)
		d.Write(x[:n])
		x = x[n:]
	}
	d.Flush()
	return all
}

func TestTry(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for i, snr := range []float64{20, 0, -4, -6, -7, -8} {
		c := samples.DSCConfig{}
		c.CentreHz = 500 + 2500*rng.Float64()
		c.Inverted = i%2 == 1
		for _, r := range hear(t, dsc.Config{}, sent(t, distress, c, snr, 1)) {
			t.Logf("%g dB %.1f: %+v %v", snr, c.CentreHz, r, r.Call)
		}
	}
	for i, snr := range []float64{20, 10, 5} {
		c := samples.DSCConfig{VHF: true}
		c.Inverted = i%2 == 1
		for _, r := range hear(t, dsc.Config{VHF: true}, sent(t, distress, c, snr, 1)) {
			t.Logf("%g dB %.1f: %+v %v", snr, c.CentreHz, r, r.Call)
		}
	}
}

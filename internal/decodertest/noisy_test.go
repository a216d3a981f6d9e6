package decodertest

import (
	"testing"

	"ionoscribe/demod"
	"ionoscribe/samples"
)

// noisy is all of src in noise, at an SNR in dB in 2500 Hz of a signal of a power.
func noisy(t *testing.T, src demod.SampleReader, power, snr float64) []float32 {
	t.Helper()
	n, err := samples.NewNoise(src, samples.NoiseConfig{SNRdB: snr, SignalPower: power, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	x, err := samples.ReadAll(n)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

package rtty_test

import (
	"testing"

	"ionoscribe/demod"
	"ionoscribe/rtty"
	"ionoscribe/samples"
)

// signal is a minute of radioteletype at 12 kHz, or of noise alone.
func signal(tb testing.TB, config samples.RTTYConfig, snr float64) []float32 {
	tb.Helper()
	for len(config.Text) < 370 {
		config.Text += "THE QUICK BROWN FOX 0123456789 "
	}
	s, err := samples.NewRTTY(config)
	if err != nil {
		tb.Fatal(err)
	}
	return noisy(tb, s, s.Power(), snr)
}

func noisy(tb testing.TB, s demod.SampleReader, power, snr float64) []float32 {
	tb.Helper()
	n, err := samples.NewNoise(s, samples.NoiseConfig{SNRdB: snr, SignalPower: power, Seed: 1})
	if err != nil {
		tb.Fatal(err)
	}
	x, err := samples.ReadAll(n)
	if err != nil {
		tb.Fatal(err)
	}
	return x
}

func BenchmarkDecoder(b *testing.B) {
	for _, c := range []struct {
		name string
		x    []float32
	}{
		{"locked-45Bd", signal(b, samples.RTTYConfig{}, 0)},
		{"locked-300Bd", signal(b, samples.RTTYConfig{Baud: 300, ShiftHz: 850}, 10)},
		{"noise", noisy(b, samples.Silence(12000, 60), 0.5, 0)},
	} {
		b.Run(c.name, func(b *testing.B) {
			d, err := rtty.New(rtty.Config{SampleRate: 12000}, rtty.Events{})
			if err != nil {
				b.Fatal(err)
			}
			d.Write(c.x)
			b.ReportAllocs()
			for b.Loop() {
				d.Write(c.x)
			}
			b.ReportMetric(float64(len(c.x))/12000*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
		})
	}
}

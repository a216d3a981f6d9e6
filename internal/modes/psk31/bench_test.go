package psk31

import (
	"strings"
	"testing"

	"ionoscribe/samples"
)

// What judging a second takes, see secondWork.
func BenchmarkJudge(b *testing.B) {
	for name, c := range map[string]samples.PSK31Config{"BPSK": {}, "QPSK": {QPSK: true}} {
		b.Run(name, func(b *testing.B) {
			const judged = 8.0 // seconds
			c.SampleRate, c.Text = 8000, strings.Repeat(text, 2)
			s, err := samples.NewPSK31(c)
			if err != nil {
				b.Fatal(err)
			}
			n, err := samples.NewNoise(s, samples.NoiseConfig{SNRdB: 10, SignalPower: s.Power(), Seed: 5})
			if err != nil {
				b.Fatal(err)
			}
			x, err := samples.ReadAll(n)
			if err != nil {
				b.Fatal(err)
			}
			j := Mode.NewJudge()
			for b.Loop() {
				j.Judge(x[:int(judged*c.SampleRate)], c.SampleRate, nil)
			}
			b.ReportMetric(1e6*b.Elapsed().Seconds()/judged/float64(b.N), "µs/s")
		})
	}
}

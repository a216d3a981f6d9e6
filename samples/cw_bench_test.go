package samples

import (
	"strings"
	"testing"

	"ionoscribe/demod"
)

func BenchmarkCW(b *testing.B) {
	text := strings.Repeat("PARIS ", 30) // a minute and a half
	for name, c := range map[string]CWConfig{
		"machine": {Text: text},
		"all":     {Text: text, Sender: StraightKey, ChirpHz: 20, DriftHzPerSecond: 1, HumDepth: 0.1},
	} {
		b.Run(name, func(b *testing.B) {
			drain(b, DefaultSampleRate, func() demod.SampleReader { return mustCW(b, c) })
		})
	}
}

package survey_test

import (
	"testing"

	"ionoscribe/internal/decodertest"
	"ionoscribe/survey"
)

// Ten minutes of audio: with nothing in it, and with a fax, a teleprinter and Morse, which is a busy channel.
func BenchmarkSurvey(b *testing.B) {
	for _, c := range []struct {
		name string
		x    []float32
	}{{"noise", noise(b, 600)}, {"busy", add(b, noise(b, 600), busy(b)...)}} {
		b.Run(c.name, func(b *testing.B) {
			s, err := survey.New(survey.Config{SampleRate: rate}, survey.Events{})
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				s.Write(c.x)
			}
			b.ReportMetric(float64(len(c.x))/rate*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
		})
	}
}

// Any kind of input. Goal: 100 times real time for each.
func BenchmarkInputs(b *testing.B) {
	decodertest.BenchmarkInputs(b, func(rate float64) (decodertest.Decoder, error) {
		return survey.New(survey.Config{SampleRate: rate}, survey.Events{})
	})
}

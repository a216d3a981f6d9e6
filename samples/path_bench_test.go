package samples

import (
	"testing"

	"ionoscribe/demod"
)

// BenchmarkPath has each stage alone and all together, at 12 kHz.
func BenchmarkPath(b *testing.B) {
	all := everything()
	for _, c := range []struct {
		name string
		path Path
	}{
		{"source", Path{}},
		{"tuning", Path{TuningHz: 10}},
		{"fading", Path{Fading: all.Fading}},
		{"carrier", Path{Interference: []Interferer{{Source: CarrierAt(700)}}}},
		{"speech", Path{Interference: []Interferer{{Source: SomeSpeech}}}},
		{"white static", Path{Static: &StaticConfig{Index: 0.1}}},
		{"static", Path{Static: all.Static}},
		{"crashes", Path{Crashes: all.Crashes}},
		{"noise", Path{Noise: all.Noise}},
		{"hum", Path{Hum: all.Hum}},
		{"band-pass", Path{LowHz: all.LowHz, HighHz: all.HighHz}},
		{"agc", Path{AGC: all.AGC}},
		{"clip", Path{Clip: all.Clip}},
		{"clock", Path{Clock: all.Clock}},
		{"drops", Path{Drops: all.Drops}},
		{"all", all},
	} {
		b.Run(c.name, func(b *testing.B) {
			drain(b, 12000, func() demod.SampleReader {
				carrier, err := NewCarrier(12000, 1000, 1)
				if err != nil {
					b.Fatal(err)
				}
				return through(b, c.path, carrier)
			})
		})
	}
}

package decodertest

import "testing"

// benchSeconds are enough for what is no signal to be rejected, and tried again.
const benchSeconds = 120

// BenchmarkInputs measures, for each kind of input, how many seconds of it a decoder takes in a second of a processor:
// x-realtime, which other programs do not change. A recording is heard from beginning to end, and what is left is flushed.
func BenchmarkInputs(b *testing.B, newDecoder func(rate float64) (Decoder, error)) {
	for _, in := range Inputs() {
		b.Run(in.Name, func(b *testing.B) {
			x := in.Samples(b, benchSeconds, 1)
			d, err := newDecoder(InputRate)
			if err != nil {
				b.Fatal(err)
			}
			b.ResetTimer()
			before := processorSeconds()
			for b.Loop() {
				for y := x; len(y) > 0; y = y[min(len(y), 4096):] {
					d.Write(y[:min(len(y), 4096)])
				}
				d.Flush()
			}
			b.ReportMetric(benchSeconds*float64(b.N)/(processorSeconds()-before), "x-realtime")
		})
	}
}

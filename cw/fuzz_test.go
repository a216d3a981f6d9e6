package cw_test

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"testing"

	"ionoscribe/cw"
	"ionoscribe/samples"
)

// Whatever is written, what is printed does not depend on how it is cut, and is finite.
func FuzzDecoder(f *testing.F) {
	real := sent(f, samples.CWConfig{Text: "EISH5", WPM: 40, LeadSeconds: 0.1, TrailSeconds: 0.1}, samples.Path{}, 10)
	var b []byte
	for _, v := range real {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
	}
	f.Add(b, uint16(479))
	f.Add([]byte{0, 0, 0xc0, 0x7f, 0, 0, 0x80, 0xff}, uint16(1))
	f.Fuzz(func(t *testing.T, b []byte, cut uint16) {
		x := make([]float32, len(b)/4)
		for i := range x {
			x[i] = math.Float32frombits(binary.LittleEndian.Uint32(b[4*i:]))
		}
		decode := func(size int) string {
			var s strings.Builder
			d, err := cw.New(cw.Config{SampleRate: testRate, Signals: 3}, cw.Events{
				Char: func(c cw.Char) {
					if !(c.Confidence >= 0 && c.Confidence <= 1) || math.IsNaN(c.PitchHz+c.WPM) || c.At < 0 || c.End < c.At || c.End > int64(len(x)) {
						t.Errorf("%+v", c)
					}
					fmt.Fprint(&s, c)
				},
				State: func(c cw.State) { fmt.Fprint(&s, c) },
			})
			if err != nil {
				t.Fatal(err)
			}
			for rest := x; len(rest) > 0; {
				n := min(size, len(rest))
				d.Write(rest[:n])
				rest = rest[n:]
			}
			d.Flush()
			return s.String()
		}
		if whole, parts := decode(len(x)+1), decode(int(cut)+1); whole != parts {
			t.Errorf("whole %q, cut %q", whole, parts)
		}
	})
}

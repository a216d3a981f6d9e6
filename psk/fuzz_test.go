package psk_test

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"testing"

	"ionoscribe/psk"
	"ionoscribe/samples"
)

// Any 32 bits for samples: what is printed does not depend on how they are cut into blocks.
func FuzzWrite(f *testing.F) {
	x := sent(f, samples.PSK31Config{Text: "gåle warning gåle warning", Charset: "utf-8"}, 10, 1)
	var b []byte
	for _, v := range x[rate : 9*rate] {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
	}
	f.Add(b, uint16(479))
	f.Add([]byte{0, 0, 0xc0, 0x7f, 0, 0, 0x80, 0xff}, uint16(1))
	f.Fuzz(func(t *testing.T, b []byte, cut uint16) {
		if len(b) > 1<<19 {
			return
		}
		x := make([]float32, len(b)/4)
		for i := range x {
			x[i] = math.Float32frombits(binary.LittleEndian.Uint32(b[4*i:]))
		}
		decode := func(size int) string {
			var s strings.Builder
			d, err := psk.New(psk.Config{SampleRate: rate, Charset: "utf-8"}, psk.Events{
				Char:  func(c psk.Char) { fmt.Fprintln(&s, c.At, c.Signal, c.Rune, c.Confidence) },
				State: func(c psk.State) { fmt.Fprintln(&s, c) },
			})
			if err != nil {
				t.Fatal(err)
			}
			for x := x; len(x) > 0; x = x[min(len(x), size):] {
				d.Write(x[:min(len(x), size)])
			}
			d.Flush()
			return s.String()
		}
		if whole, parts := decode(len(x)+1), decode(int(cut)+1); whole != parts {
			t.Errorf("whole %q, cut %q", whole, parts)
		}
	})
}

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

// Whatever is written, what is printed does not depend on how it is cut, and is finite. One decoder hears all inputs, as
// making one takes longer than they do. Run it with -fuzzminimizetime 10x: the inputs are long.
func FuzzDecoder(f *testing.F) {
	const most = testRate * 5 / 2 // enough to print a word
	var s strings.Builder
	var written int64 // samples before
	n := 0            // samples of this input
	bad := ""
	d, err := cw.New(cw.Config{SampleRate: testRate, Signals: 3}, cw.Events{
		Char: func(c cw.Char) {
			c.At, c.End = c.At-written, c.End-written
			if !(c.Confidence >= 0 && c.Confidence <= 1) || math.IsNaN(c.PitchHz+c.WPM) || c.At < 0 || c.End < c.At || c.End > int64(n) {
				bad = fmt.Sprintf("%+v", c)
			}
			fmt.Fprint(&s, c)
		},
		State: func(c cw.State) {
			c.At -= written
			fmt.Fprint(&s, c)
		},
	})
	if err != nil {
		f.Fatal(err)
	}
	decode := func(x []float32, size int) string {
		s.Reset()
		n = len(x)
		for rest := x; len(rest) > 0; {
			n := min(size, len(rest))
			d.Write(rest[:n])
			rest = rest[n:]
		}
		d.Flush()
		written += int64(n)
		return s.String()
	}
	real := sent(f, samples.CWConfig{Text: "DE DXYZ", WPM: 60, LeadSeconds: 0.1, TrailSeconds: 0.5}, samples.Path{}, 20)
	real = real[:min(len(real), most)]
	var b []byte
	for _, v := range real {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
	}
	if printed := decode(real, 100); printed == "" {
		f.Fatal("nothing is printed of a real signal")
	}
	f.Add(b, uint16(479))
	f.Add([]byte{0, 0, 0xc0, 0x7f, 0, 0, 0x80, 0xff}, uint16(1))
	f.Fuzz(func(t *testing.T, b []byte, cut uint16) {
		x := make([]float32, min(len(b)/4, most))
		for i := range x {
			x[i] = math.Float32frombits(binary.LittleEndian.Uint32(b[4*i:]))
		}
		whole, parts := decode(x, len(x)+1), decode(x, int(cut)+1)
		if whole != parts {
			t.Errorf("whole %q, cut %q", whole, parts)
		}
		if bad != "" {
			t.Error(bad)
			bad = ""
		}
	})
}

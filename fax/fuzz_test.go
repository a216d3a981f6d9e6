package fax_test

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"math"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/samples"
)

// FuzzWrite writes samples of any 32 bits, many times over so that they last: nothing breaks, what comes out is sound, and
// it is the same however the samples are cut. Run it with -fuzzminimizetime 10x: the inputs are long.
func FuzzWrite(f *testing.F) {
	x, _ := trial{FaxConfig: samples.FaxConfig{Picture: picture(576, 40, 1), SampleRate: 6000, PhasingSeconds: 4}, snr: 10}.audio(f)
	for _, at := range []int{0, 8, 15} { // a second of start tone, of phasing or picture, of the picture
		var b []byte
		for _, v := range x[at*6000 : (at+1)*6000] {
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
		}
		f.Add(b, uint16(479), uint8(7))
	}
	f.Add([]byte{0, 0, 0xc0, 0x7f, 0, 0, 0x80, 0x7f, 1, 0, 0, 0}, uint16(0), uint8(255))
	f.Fuzz(func(t *testing.T, b []byte, size uint16, repeat uint8) {
		if len(b) > 24000 {
			return
		}
		x := make([]float32, len(b)/4)
		for i := range x {
			x[i] = math.Float32frombits(binary.LittleEndian.Uint32(b[4*i:]))
		}
		hear := func(size int) (heard []string) {
			d, err := fax.New(fax.Config{SampleRate: 6000, LossSeconds: 5}, fax.Events{Chart: func(c *fax.Chart) {
				heard = append(heard, fmt.Sprint(c.Start, c.End, c.Rows, c.LPM, c.ClockPPM, c.SNR, c.Began, c.Ended, crc32.ChecksumIEEE(c.Image.Pix)))
				for _, v := range []float64{c.ClockPPM, c.SNR, c.OffsetHz, c.Origin, c.Period} {
					if math.IsNaN(v) || math.IsInf(v, 0) {
						t.Errorf("a figure is %v", v)
					}
				}
				for _, q := range c.Quality {
					if !(q >= 0 && q <= 1) {
						t.Errorf("quality is %v", q)
					}
				}
				if c.Image.Rect.Dx() != c.Columns || c.Image.Rect.Dy() != c.Rows || len(c.Quality) != c.Rows {
					t.Errorf("image of %v, %d qualities for %d columns and %d rows", c.Image.Rect, len(c.Quality), c.Columns, c.Rows)
				}
			}})
			if err != nil {
				t.Fatal(err)
			}
			for range int(repeat)%8 + 1 {
				for y := x; len(y) > 0; {
					n := min(size, len(y))
					d.Write(y[:n])
					y = y[n:]
				}
			}
			d.Flush()
			return heard
		}
		if a, b := hear(1<<20), hear(int(size)+1); fmt.Sprint(a) != fmt.Sprint(b) {
			t.Errorf("in blocks of %d it is %v, else %v", int(size)+1, b, a)
		}
	})
}

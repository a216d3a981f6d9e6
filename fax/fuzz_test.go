package fax_test

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"math"
	"slices"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/samples"
)

// anySamples are a second each of start tone, of phasing or picture and of the picture, and what are no numbers.
func anySamples(tb testing.TB) (list [][]float32) {
	x, _ := trial{FaxConfig: samples.FaxConfig{Picture: picture(576, 40, 1), SampleRate: 6000, PhasingSeconds: 4}, snr: 10}.audio(tb)
	for _, at := range []int{0, 8, 15} {
		list = append(list, x[at*6000:(at+1)*6000])
	}
	return append(list, []float32{float32(math.NaN()), float32(math.Inf(1)), math.SmallestNonzeroFloat32})
}

// TestAnySamples hears whatever it is for seconds: what is drawn is sound, and the same however the samples are cut.
func TestAnySamples(t *testing.T) {
	for i, x := range anySamples(t) {
		long := slices.Repeat(x, 8)
		if a, b := charts(t, long, len(long)), charts(t, long, 480); !slices.Equal(a, b) {
			t.Errorf("input %d in blocks of 480 is %v, else %v", i, b, a)
		}
	}
}

// charts are what a decoder draws of samples in blocks of a size.
func charts(t *testing.T, x []float32, size int) (heard []string) {
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
	for y := range slices.Chunk(x, size) {
		d.Write(y)
	}
	d.Flush()
	return heard
}

// FuzzWrite writes half a second at most of samples of any 32 bits: nothing breaks, and what the decoder has heard is the
// same however they are cut. One decoder hears all inputs, as making one takes longer than they do; no chart is as short.
// TestAnySamples has the long inputs.
func FuzzWrite(f *testing.F) {
	const most = 3000
	var heard []fax.State
	d, err := fax.New(fax.Config{SampleRate: 6000, LossSeconds: 5}, fax.Events{State: func(s fax.State) { heard = append(heard, s) }})
	if err != nil {
		f.Fatal(err)
	}
	written := int64(0)
	hear := func(x []float32, size int) string {
		heard = heard[:0]
		for y := range slices.Chunk(x, size) {
			d.Write(y)
		}
		arriving, video := d.Arriving()
		d.Flush()
		for i := range heard {
			heard[i].At -= written
		}
		written += int64(len(x))
		return fmt.Sprint(heard, arriving, video != nil)
	}
	for _, x := range anySamples(f) {
		var b []byte
		for _, v := range x[:min(len(x), most)] {
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
		}
		f.Add(b, uint16(479))
	}
	f.Fuzz(func(t *testing.T, b []byte, cut uint16) {
		x := make([]float32, min(len(b)/4, most))
		for i := range x {
			x[i] = math.Float32frombits(binary.LittleEndian.Uint32(b[4*i:]))
		}
		if whole, parts := hear(x, most), hear(x, int(cut)+1); whole != parts {
			t.Errorf("in blocks of %d it is %s, else %s", int(cut)+1, parts, whole)
		}
	})
}

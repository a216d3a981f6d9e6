package fax_test

import (
	"context"
	"image"
	"math"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/fax/draw"
	"ionoscribe/samples"
)

// drawn is a received chart of so many lines.
func drawn(tb testing.TB, lines int) *fax.Chart {
	tb.Helper()
	const rate = 12000
	x, _ := trial{FaxConfig: samples.FaxConfig{Picture: picture(576, lines, 1), SampleRate: rate}, snr: 20, ppm: 30}.audio(tb)
	charts := hear(tb, fax.Config{SampleRate: rate, Plain: true}, x)
	if len(charts) != 1 {
		tb.Fatalf("%d charts", len(charts))
	}
	return charts[0]
}

// differ is the mean difference of two pictures of the same size in levels of grey.
func differ(tb testing.TB, a, b *image.Gray) float64 {
	tb.Helper()
	if a.Rect != b.Rect {
		tb.Fatalf("%v and %v", a.Rect, b.Rect)
	}
	sum := 0.0
	for i := range a.Pix {
		sum += math.Abs(float64(a.Pix[i]) - float64(b.Pix[i]))
	}
	return sum / float64(len(a.Pix))
}

// What is drawn from a track is what Draw draws plainly, whatever is changed.
func TestTrack(t *testing.T) {
	c := drawn(t, 120)
	track := draw.NewTrack(c.Video, c.Period)
	for name, change := range map[string]func(d *fax.Drawing){
		"nothing":       func(d *fax.Drawing) {},
		"shift":         func(d *fax.Drawing) { d.Origin += 333.3 },
		"lean":          func(d *fax.Drawing) { d.Period *= 1.002 },
		"half the rate": func(d *fax.Drawing) { d.Period, d.Rows = 2*d.Period, d.Rows/2 },
		"columns":       func(d *fax.Drawing) { d.Columns /= 2 },
		"inverted":      func(d *fax.Drawing) { d.Inverted = !d.Inverted },
		"levels":        func(d *fax.Drawing) { d.Black, d.White = 0.2, 0.7 },
		"tuning":        func(d *fax.Drawing) { d.OffsetHz, d.DeviationHz = 100, 300 },
	} {
		d := c.Drawing
		d.Plain = true
		change(&d)
		want, _ := draw.Draw(c.Video, d)
		whole := image.Rect(0, 0, d.Columns, d.Rows)
		got := track.Draw(d, whole, whole.Max)
		off := differ(t, got, want)
		if off > 6 {
			t.Errorf("%s: %.1f levels off in the mean", name, off)
		}
		for _, aside := range []float64{-0.5, 0.5} { // samples
			e := d
			e.Origin += aside
			if o := differ(t, track.Draw(e, whole, whole.Max), want); o < off {
				t.Errorf("%s: it lies %v samples aside: %.2f levels off instead of %.2f", name, aside, o, off)
			}
		}
		part := image.Rect(300, 10, 700, 50).Intersect(whole)
		if off := differ(t, track.Draw(d, part, part.Size()), crop(got, part)); off != 0 {
			t.Errorf("%s: a part is %.1f levels off", name, off)
		}
		size := image.Pt(d.Columns/5, d.Rows/5)
		if off := differ(t, track.Draw(d, whole, size), smaller(want, size)); off > 6 {
			t.Errorf("%s: smaller it is %.1f levels off", name, off)
		}
	}
	if m := track.Draw(c.Drawing, image.Rect(5000, 0, 6000, 10), image.Pt(10, 10)); m.Rect.Dx() != 10 {
		t.Error("outside there is something")
	}
}

func crop(m *image.Gray, r image.Rectangle) *image.Gray {
	c := image.NewGray(image.Rectangle{Max: r.Size()})
	for y := range r.Dy() {
		copy(c.Pix[y*c.Stride:][:r.Dx()], m.Pix[m.PixOffset(r.Min.X, r.Min.Y+y):])
	}
	return c
}

// smaller has the mean of the pixels in each of its own.
func smaller(m *image.Gray, size image.Point) *image.Gray {
	s := image.NewGray(image.Rectangle{Max: size})
	for y := range size.Y {
		for x := range size.X {
			sum, n := 0, 0
			for v := y * m.Rect.Dy() / size.Y; v < (y+1)*m.Rect.Dy()/size.Y; v++ {
				for u := x * m.Rect.Dx() / size.X; u < (x+1)*m.Rect.Dx()/size.X; u++ {
					sum += int(m.Pix[v*m.Stride+u])
					n++
				}
			}
			s.Pix[y*s.Stride+x] = uint8(sum / n)
		}
	}
	return s
}

// A drawing that nobody wants any more is given up.
func TestDrawContext(t *testing.T) {
	c := drawn(t, 60)
	ctx, cancel := context.WithCancel(context.Background())
	m, quality, err := draw.DrawContext(ctx, c.Video, c.Drawing)
	if want, _ := draw.Draw(c.Video, c.Drawing); err != nil || len(quality) != c.Rows || differ(t, m, want) != 0 {
		t.Error("it is not what Draw draws:", err)
	}
	cancel()
	for _, plain := range []bool{true, false} {
		d := c.Drawing
		d.Plain = plain
		if m, _, err := draw.DrawContext(ctx, c.Video, d); err != context.Canceled || m != nil {
			t.Error(err)
		}
	}
}

// A chart of ten minutes: the track once, and a preview of it as wide as a screen.
func BenchmarkTrack(b *testing.B) {
	c := drawn(b, 1200)
	whole := image.Rect(0, 0, c.Columns, c.Rows)
	b.Run("whole drawing", func(b *testing.B) {
		for b.Loop() {
			draw.Draw(c.Video, c.Drawing)
		}
	})
	restored := c.Drawing
	restored.Plain = false
	b.Run("whole drawing restored", func(b *testing.B) {
		for b.Loop() {
			draw.Draw(c.Video, restored)
		}
	})
	b.Run("new", func(b *testing.B) {
		for b.Loop() {
			draw.NewTrack(c.Video, c.Period)
		}
	})
	track := draw.NewTrack(c.Video, c.Period)
	for name, size := range map[string]image.Point{"1280 wide": image.Pt(1280, 1280*c.Rows/c.Columns), "full size": whole.Max, "360 wide": image.Pt(360, 360*c.Rows/c.Columns)} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				track.Draw(c.Drawing, whole, size)
			}
		})
	}
}

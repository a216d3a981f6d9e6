package chartfile

import (
	"math"
	"testing"

	"ionoscribe/fax"
)

// wedgeChart has a white bar on black at pixels 600 to 800 of each line, in clean video.
func wedgeChart(tb testing.TB) *Chart {
	c := testChart()
	d := &c.Drawing
	d.Rows, d.Origin, d.Plain = 40, 0, true
	v := new(fax.Video)
	phase := 0.0
	for i := range d.Rows*1800 + 300 {
		hz := -400.0
		if x := float64(i%1800) / 1800 * 1810; x >= 600 && x < 800 {
			hz = 400
		}
		phase += 2 * math.Pi * hz / fax.VideoRate
		v.Append([]complex64{complex(float32(math.Cos(phase)), float32(math.Sin(phase)))})
	}
	c.Video, c.ClockPPM = v, 0
	must(tb, c.Redraw(Changes{}))
	return c
}

// bar is where the white bar begins and ends in a row.
func bar(c *Chart, row int) (from, to int) {
	p := c.Image.Pix[row*c.Image.Stride:][:c.Image.Rect.Dx()]
	for i, v := range p {
		if v >= 128 {
			if to == 0 {
				from = i
			}
			to = i + 1
		}
	}
	return from, to
}

func TestRedraw(t *testing.T) {
	close := func(a, b int) bool { return a >= b-2 && a <= b+2 }
	x := func(v float64) *float64 { return &v }
	for _, test := range []struct {
		name           string
		change         Changes
		row, from, to  int
		columns, lines int
	}{
		{"nothing", Changes{}, 20, 600, 800, 1810, 40},
		{"shift", Changes{Shift: 150}, 20, 450, 650, 1810, 40},
		{"slant", Changes{ClockPPM: x(500)}, 39, 600 - 35, 800 - 35, 1810, 40}, // 39 lines · 1810 · 500e-6
		{"half the columns", Changes{IOC: 288}, 20, 300, 400, 905, 40},
		{"half the speed", Changes{LPM: 60}, 9, 300, 1305, 1810, 20},
	} {
		c := wedgeChart(t)
		must(t, c.Redraw(test.change))
		from, to := bar(c, test.row)
		if !close(from, test.from) || !close(to, test.to) || c.Image.Rect.Dx() != test.columns || c.Lines != test.lines {
			t.Errorf("%s: bar from %d to %d in %v, want %d to %d", test.name, from, to, c.Image.Rect, test.from, test.to)
		}
	}
}

func TestRedrawLevels(t *testing.T) {
	c := wedgeChart(t)
	at := func(x int) uint8 { return c.Image.GrayAt(x, 20).Y }
	if at(700) < 250 || at(300) > 5 {
		t.Fatalf("bar of %d on %d", at(700), at(300))
	}
	must(t, c.Redraw(Changes{Invert: true}))
	if at(700) > 5 || at(300) < 250 {
		t.Errorf("inverted: bar of %d on %d", at(700), at(300))
	}
	must(t, c.Redraw(Changes{Invert: true})) // and back
	if at(700) < 250 {
		t.Errorf("inverted twice: %d", at(700))
	}
	low := -1.0
	must(t, c.Redraw(Changes{Black: &low})) // black, 0, lies in the middle of -1 and 1
	if g := at(300); g < 120 || g > 136 {
		t.Errorf("black at -1: %d, want 127", g)
	}
}

func TestRedrawRefuses(t *testing.T) {
	nan, one := math.NaN(), 1.0
	for _, ch := range []Changes{{Shift: 1e9}, {Shift: nan}, {ClockPPM: &nan}, {LPM: 1e-9}, {DeviationHz: 1e6}, {Black: &one}, {Shift: -1e9}} {
		c := wedgeChart(t)
		before := c.Drawing
		if err := c.Redraw(ch); err == nil {
			t.Errorf("%+v: %+v", ch, c.Drawing)
		} else if c.Drawing != before {
			t.Errorf("%+v: changed all the same", ch)
		}
	}
}

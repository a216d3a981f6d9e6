package scenario

import (
	"bytes"
	"image"
	"math"
	"strings"
	"testing"
)

func levels(m *image.Gray) int {
	var seen [256]bool
	n := 0
	for _, p := range m.Pix {
		if !seen[p] {
			seen[p] = true
			n++
		}
	}
	return n
}

func TestDenseChart(t *testing.T) {
	for _, c := range []struct{ w, h int }{{1810, 800}, {1810, 1200}, {905, 600}} {
		for seed := range int64(2) {
			m := DenseChart(c.w, c.h, seed)
			if ink := inkShare(m); ink < 0.095 || ink > 0.105 {
				t.Errorf("%d×%d seed %d: %.2f %% ink", c.w, c.h, seed, 100*ink)
			}
			if levels(m) != 2 {
				t.Errorf("%d×%d: not pure black and white", c.w, c.h)
			}
		}
	}
}

// A stroke along an axis is two pixels wide to the pixel, a slanted one on the average; on an exact diagonal it
// is three rows of centres 0.71 apart, 2.12.
func TestStrokeWidth(t *testing.T) {
	for _, to := range []point{{300, 50}, {50, 300}, {250, 250}, {300, 137}} {
		c := newCanvas(400, 400)
		from := point{50, 50}
		c.stroke(2, black, from, to)
		area := inkShare(c.Gray) * 400 * 400
		if want := 2*to.sub(from).length() + 3.14; area < want*0.98-2 || area > want*1.07 {
			t.Errorf("to %v: %v pixels, want %.0f", to, area, want)
		}
	}
}

func TestLettering(t *testing.T) {
	m, lines := Lettering(Width, 1200, 3)
	if levels(m) != 2 || len(lines) < 15 {
		t.Errorf("%d levels, %d lines", levels(m), len(lines))
	}
	for _, l := range lines {
		if len(l) < 20 || strings.Contains(l, "0") || l != strings.TrimSpace(l) {
			t.Errorf("line %q", l)
		}
	}
}

func TestSatelliteUsesTheWholeRange(t *testing.T) {
	if n := levels(Satellite(905, 600, 1)); n != 256 {
		t.Errorf("%d grey levels", n)
	}
}

func TestPictures(t *testing.T) {
	for name, draw := range map[string]func(w, h int) *image.Gray{
		"blank": Blank, "chart": Chart,
		"dense":     func(w, h int) *image.Gray { return DenseChart(w, h, 5) },
		"lettering": func(w, h int) *image.Gray { m, _ := Lettering(w, h, 5); return m },
		"satellite": func(w, h int) *image.Gray { return Satellite(w, h, 5) },
	} {
		m := draw(905, 500)
		if m.Rect != image.Rect(0, 0, 905, 500) {
			t.Errorf("%s: bounds %v", name, m.Rect)
		}
		for y := range 500 {
			for x := range 905 {
				if edge := float64(min(x, 904-x)); edge < 0.0225*905 && m.GrayAt(x, y).Y != white {
					t.Fatalf("%s: ink in the margin at %d, %d", name, x, y)
				}
			}
		}
		if !bytes.Equal(m.Pix, draw(905, 500).Pix) {
			t.Errorf("%s is not the same twice", name)
		}
		for _, size := range [][2]int{{0, 0}, {1, 1}, {3, 900}, {900, 3}, {40, 40}, {-5, 7}} {
			draw(size[0], size[1]) // must not panic
		}
	}
}

// Pages differ with all that they are made of, have greys, and an italic one leans: a stroke's upper end is to the
// right of its lower one.
func TestPages(t *testing.T) {
	seen := map[string]bool{}
	for typeface, name := range Typefaces() {
		lean := [2]float64{}
		for _, slope := range []Slope{Upright, Italic, Mixed} {
			m := Page{Typeface: typeface, Slope: slope, Frame: slope == Mixed, Seed: 5}.Draw(Width, 440)
			if seen[string(m.Pix)] || levels(m) < 50 {
				t.Errorf("%s %v: the same as another one, or only %d greys", name, slope, levels(m))
			}
			seen[string(m.Pix)] = true
			if ink := inkShare(m); ink < 0.01 || ink > 0.15 {
				t.Errorf("%s %v: %.1f %% ink", name, slope, 100*ink)
			}
			if slope != Mixed {
				lean[slope] = letterLean(m)
			}
		}
		if math.Abs(lean[Upright]) > 0.05 || lean[Italic] < 0.1 || lean[Italic] > 0.4 {
			t.Errorf("%s: upright letters lean by %.3f, italic ones by %.3f", name, lean[Upright], lean[Italic])
		}
	}
}

// letterLean is the shear, in pixels a row, at which rows agree best with those six rows farther down.
func letterLean(m *image.Gray) float64 {
	const apart = 6
	best, at := math.Inf(1), 0
	for shift := -3; shift <= 3; shift++ {
		sum := 0.0
		for y := 0; y+apart < m.Rect.Dy(); y++ {
			for x := 3; x+3 < m.Rect.Dx(); x++ {
				d := float64(m.Pix[y*m.Stride+x+shift]) - float64(m.Pix[(y+apart)*m.Stride+x])
				sum += d * d
			}
		}
		if sum < best {
			best, at = sum, shift
		}
	}
	return float64(at) / apart
}

func TestLayouts(t *testing.T) {
	for i, name := range Styles() {
		l := RandomLayout(905, uint64(i)+3)
		l.Style, l.Left, l.Right = name, 20, 9
		m := l.Draw(905, 160)
		if m.Rect != image.Rect(0, 0, 905, 160) || !bytes.Equal(m.Pix, l.Draw(905, 160).Pix) {
			t.Errorf("%s: bounds %v, or not the same twice", name, m.Rect)
		}
		if ink := inkShare(m); ink < 0.003 {
			t.Errorf("%s: %.4f of it is ink", name, ink)
		}
		for y := range 160 {
			for x := range 905 {
				if (x < 20 || x >= 905-9) && m.GrayAt(x, y).Y != white {
					t.Fatalf("%s: ink in the margin at %d, %d", name, x, y)
				}
			}
		}
	}
	same := 0
	for seed := range uint64(400) {
		l := RandomLayout(Width, seed)
		if l.Left > 91 || l.Right > 91 || l.Frame > 6 {
			t.Errorf("seed %d: %+v", seed, l)
		}
		if l.Left == l.Right {
			same++
		}
	}
	if same < 160 || same > 260 {
		t.Errorf("%d of 400 have alike margins", same)
	}
}

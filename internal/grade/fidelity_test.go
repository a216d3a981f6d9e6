package grade

import (
	"encoding/json"
	"image"
	"math"
	"os"
	"testing"

	"ionoscribe/internal/scenario"
)

func grey(rows [][]uint8) *image.Gray {
	m := image.NewGray(image.Rect(0, 0, len(rows[0]), len(rows)))
	for y, row := range rows {
		copy(m.Pix[y*m.Stride:], row)
	}
	return m
}

// pixels are pixels as JSON holds them.
func pixels(m [][]int) (rows [][]uint8) {
	for _, r := range m {
		row := make([]uint8, len(r))
		for i, p := range r {
			row[i] = uint8(p)
		}
		rows = append(rows, row)
	}
	return rows
}

func blank(w, h int) *image.Gray {
	m := image.NewGray(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		m.Pix[i] = 255
	}
	return m
}

func readJSON(t *testing.T, path string, v any) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err == nil {
		err = json.Unmarshal(b, v)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// Values: NumPy's corrcoef and mean (testdata/fidelity.py).
func TestScoresNumPy(t *testing.T) {
	var v struct {
		Sent, Got [][]int
		Cases     []struct {
			DX, DY         int
			Fidelity, PSNR float64
		}
	}
	readJSON(t, "testdata/fidelity.json", &v)
	sent, got := grey(pixels(v.Sent)), grey(pixels(v.Got))
	for _, c := range v.Cases {
		if f := fidelityAt(sent, got, c.DX, c.DY); math.Abs(f-c.Fidelity) > 1e-9 {
			t.Errorf("shift %d, %d: fidelity %v dB, NumPy says %v", c.DX, c.DY, f, c.Fidelity)
		}
		if p := PSNR(sent, got, c.DX, c.DY); math.Abs(p-c.PSNR) > 1e-9 {
			t.Errorf("shift %d, %d: PSNR %v dB, NumPy says %v", c.DX, c.DY, p, c.PSNR)
		}
	}
	if _, dx, dy := Fidelity(sent, got, 3); dx != 2 || dy != 1 {
		t.Errorf("shift found is %d, %d, but it is 2, 1", dx, dy)
	}
}

func TestFidelityOfNothing(t *testing.T) {
	chart := scenario.DenseChart(600, 200, 1)
	for name, got := range map[string]*image.Gray{
		"blank page": blank(600, 200), "black page": image.NewGray(image.Rect(0, 0, 600, 200)), "no rows": image.NewGray(image.Rect(0, 0, 600, 0)),
	} {
		if f, _, _ := Fidelity(chart, got, 2); f != 0 {
			t.Errorf("%s: %v dB, want 0", name, f)
		}
	}
	if f, dx, dy := Fidelity(chart, chart, 2); f < 89 || dx != 0 || dy != 0 {
		t.Errorf("the same: %v dB, shift %d, %d", f, dx, dy)
	}
}

func TestStrays(t *testing.T) {
	sent, got := blank(60, 40), blank(60, 40)
	ink := func(m *image.Gray, points ...image.Point) {
		for _, p := range points {
			m.Pix[p.Y*m.Stride+p.X] = 0
		}
	}
	for x := range 60 { // a line that was sent is received three rows lower
		ink(sent, image.Pt(x, 20))
		ink(got, image.Pt(x, 23))
	}
	ink(got, image.Pt(5, 24), image.Pt(5, 25), image.Pt(5, 26)) // a spur of it
	ink(got, image.Pt(0, 0), image.Pt(1, 1), image.Pt(2, 0))    // a stroke at the edge
	ink(got, image.Pt(30, 5), image.Pt(31, 5))                  // a speck
	ink(got, image.Pt(40, 30), image.Pt(40, 31), image.Pt(41, 32), image.Pt(45, 30), image.Pt(45, 31), image.Pt(45, 32))
	if n := Strays(sent, got, 0, 0); n != 3 {
		t.Errorf("%d strokes, want 3", n)
	}
	if n := Strays(sent, got, 0, 3); n != 2 { // that at the upper edge is beyond the sent picture
		t.Errorf("%d strokes with the shift, want 2", n)
	}
	if n := Strays(sent, sent, 0, 0); n != 0 {
		t.Errorf("%d strokes in the same picture", n)
	}
}

package grade

import (
	"fmt"
	"image"
	"math"
	"testing"

	"ionoscribe/internal/scenario"
)

// mean is that of the pixels in r.
func mean(m *image.Gray, r image.Rectangle) float64 {
	sum := 0
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			sum += int(m.Pix[y*m.Stride+x])
		}
	}
	return float64(sum) / float64(r.Dx()*r.Dy())
}

// Black and white are drawn as 0 and 255, within 2 % of the range.
func TestLevels(t *testing.T) {
	t.Parallel()
	m := framed(1810, 120)
	black, white := image.Rect(300, 40, 700, 80), image.Rect(900, 40, 1500, 80)
	fill(m, black, 0)
	r := receive(t, m, 40)
	for name, got := range map[string]*image.Gray{"restored": r.Chart.Image, "plain": plain(r)} {
		b, w := mean(got, black.Inset(4)), mean(got, white)
		t.Logf("%s: black %.2f, white %.2f", name, b, w)
		if b > 0.02*255 || w < 0.98*255 {
			t.Errorf("%s: black is %.1f, white %.1f", name, b, w)
		}
	}
}

// ramp is a wedge of all greys from left to right, the width of the frame.
func ramp(h int) (m *image.Gray, wedge image.Rectangle) {
	m = framed(1810, h)
	wedge = image.Rect(137, 30, 137+6*256, h-30)
	for x := wedge.Min.X; x < wedge.Max.X; x++ {
		fill(m, image.Rect(x, wedge.Min.Y, x+1, wedge.Max.Y), uint8((x-wedge.Min.X)/6))
	}
	return m, wedge
}

// biasMargin is by how many levels the mean of a grey may be further off than in the textbook receiver's picture,
// which noise draws in at the ends because nothing is whiter than white.
const biasMargin = 5.0

// Greys stay what they were: each level of a wedge keeps its mean, and none swallows its neighbours.
func TestGreysKept(t *testing.T) {
	t.Parallel()
	m, wedge := ramp(160)
	for _, c := range []struct{ snr, tolerance float64 }{{40, 2}, {10, biasMargin}, {6, biasMargin}} {
		t.Run(fmt.Sprintf("%g dB", c.snr), func(t *testing.T) {
			t.Parallel()
			r := receive(t, m, c.snr)
			if r.Chart.TwoLevel {
				t.Error("taken for black and white")
			}
			worst := 0.0
			for v := 8; v < 248; v++ {
				x := wedge.Min.X + 6*v
				column := image.Rect(x, wedge.Min.Y+4, x+6, wedge.Max.Y-4)
				d := math.Abs(mean(r.Chart.Image, column) - float64(v))
				if c.snr < 40 {
					d -= math.Abs(mean(r.Book, column) - float64(v))
				}
				worst = max(worst, d)
			}
			var histogram [256]float64
			most, used := 0.0, 0
			for y := wedge.Min.Y + 4; y < wedge.Max.Y-4; y++ {
				for _, v := range r.Chart.Image.Pix[y*r.Chart.Image.Stride:][wedge.Min.X:wedge.Max.X] {
					histogram[v]++
				}
			}
			for v, n := range histogram {
				n /= float64(wedge.Dx() * (wedge.Dy() - 8))
				if n > 0.3/256 {
					used++
				}
				if v > 8 && v < 248 {
					most = max(most, n*256)
				}
			}
			t.Logf("worst level off by %.2f, %d of 256 levels used, most %.2f times as often as it should", worst, used, most)
			if worst > c.tolerance {
				t.Errorf("a level is off by %.1f", worst)
			}
			if used < 230 || most > 2 {
				t.Errorf("posterised: %d of 256 levels used, one of them %.1f times as often as it should", used, most)
			}
		})
	}
}

// The levels of a satellite picture keep their means: pixels whose neighbours had about the same grey.
func TestSatelliteLevels(t *testing.T) {
	t.Parallel()
	m := scenario.Satellite(1810, 120, 1)
	for _, snr := range []float64{40, 10} {
		t.Run(fmt.Sprintf("%g dB", snr), func(t *testing.T) {
			t.Parallel()
			r := receive(t, m, snr)
			worst, at := levelError(r.Sent, r.Chart.Image, r.Sent.Rect)
			book, _ := levelError(r.Sent, r.Book, r.Sent.Rect)
			t.Logf("fidelity %.2f dB, textbook %.2f; level %d is off by %.2f, textbook %.2f", r.Fidelity, r.Textbook, at, worst, book)
			if math.Abs(worst) > math.Abs(book)+biasMargin {
				t.Errorf("level %d is off by %.1f", at, worst)
			}
			if r.Fidelity < r.Textbook-0.3 {
				t.Errorf("fidelity %.2f dB, textbook receiver %.2f", r.Fidelity, r.Textbook)
			}
		})
	}
}

// A satellite picture with a chart in black and white beside it: the greys must stay, the chart be no worse than
// the textbook receiver's.
func TestMixedPicture(t *testing.T) {
	t.Parallel()
	const lines, seam = 160, 905
	m := scenario.Satellite(1810, lines, 1)
	chart := scenario.DenseChart(1810, lines, 1)
	for y := range lines {
		copy(m.Pix[y*m.Stride+seam:][:905], chart.Pix[y*chart.Stride+seam:])
	}
	for _, snr := range []float64{40, 10, 3} {
		t.Run(fmt.Sprintf("%g dB", snr), func(t *testing.T) {
			t.Parallel()
			r := receive(t, m, snr)
			half := func(m *image.Gray, x int) *image.Gray {
				return m.SubImage(image.Rect(x, 0, x+905, lines)).(*image.Gray)
			}
			greys := image.Rect(0, 0, seam, lines)
			worst, at := levelError(r.Sent, r.Chart.Image, greys)
			book, _ := levelError(r.Sent, r.Book, greys)
			t.Logf("level %d is off by %.2f, textbook %.2f", at, worst, book)
			if math.Abs(worst) > math.Abs(book)+biasMargin {
				t.Errorf("level %d is off by %.1f", at, worst)
			}
			for name, x := range map[string]int{"greys": 0, "chart": seam} {
				f, b := fidelityAt(half(r.Sent, x), half(r.Chart.Image, x), 0, 0), fidelityAt(half(r.Sent, x), half(r.Book, x), 0, 0)
				t.Logf("%s: fidelity %.2f dB, textbook %.2f", name, f, b)
				if f < b-0.3 {
					t.Errorf("%s: fidelity %.2f dB, textbook receiver %.2f", name, f, b)
				}
			}
		})
	}
}

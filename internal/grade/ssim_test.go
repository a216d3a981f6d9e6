package grade

import (
	"image"
	"math"
	"testing"

	"ionoscribe/internal/scenario"
)

// Values: NumPy and SciPy's convolve2d (testdata/ssim.py).
func TestSSIMSciPy(t *testing.T) {
	var v struct {
		Sent, Got [][]int
		Cases     []struct {
			DX, DY int
			SSIM   float64
		}
	}
	readJSON(t, "testdata/ssim.json", &v)
	sent, got := grey(pixels(v.Sent)), grey(pixels(v.Got))
	for _, c := range v.Cases {
		if s := SSIM(sent, got, c.DX, c.DY); math.Abs(s-c.SSIM) > 1e-9 {
			t.Errorf("shift %d, %d: %v, SciPy says %v", c.DX, c.DY, s, c.SSIM)
		}
	}
}

// Two even pages have no variance, and the index is (2ab+C1)/(a²+b²+C1) (equation 6 of the paper).
func TestSSIMOfEvenPages(t *testing.T) {
	a, b := blank(40, 30), blank(40, 30)
	fill(b, b.Rect, 100)
	c1 := 0.01 * 255 * 0.01 * 255
	if got, want := SSIM(a, b, 0, 0), (2*255*100+c1)/(255*255+100*100+c1); math.Abs(got-want) > 1e-6 {
		t.Errorf("%v, want %v", got, want)
	}
	chart := scenario.DenseChart(300, 100, 1)
	if s := SSIM(chart, chart, 0, 0); math.Abs(s-1) > 1e-9 {
		t.Errorf("the same: %v", s)
	}
	for _, m := range []*image.Gray{blank(10, 30), blank(40, 10), image.NewGray(image.Rect(0, 0, 40, 0))} {
		if s := SSIM(a, m, 0, 0); s != 0 {
			t.Errorf("too small: %v", s)
		}
	}
}

func BenchmarkSSIM(b *testing.B) {
	m := scenario.DenseChart(scenario.Width, 400, 1)
	b.ReportAllocs()
	for b.Loop() {
		SSIM(m, m, 0, 0)
	}
}

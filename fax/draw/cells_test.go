package draw

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"
)

// noisyCells is a picture of random blocks of 16 pixels with noise upon it.
func noisyCells(seed, noiseSeed uint64, sigma float64) *image.Gray {
	blocks, noise := rand.New(rand.NewPCG(seed, 1)), rand.New(rand.NewPCG(noiseSeed, 2))
	const wide, high = 640, 320
	var level [high / 16][wide / 16]float64
	for y := range level {
		for x := range level[y] {
			level[y][x] = 64 + 128*float64(blocks.IntN(2))
		}
	}
	m := image.NewGray(image.Rect(0, 0, wide, high))
	for i := range m.Pix {
		m.Pix[i] = uint8(min(max(level[i/wide/16][i%wide/16]+sigma*noise.NormFloat64(), 0), 255))
	}
	return m
}

// Likeness is what the correlation would be without noise: 1 of the same picture whatever the noise, and that of independent ones
// by chance otherwise (standard deviation 1/√800 blocks).
func TestLikeness(t *testing.T) {
	for _, sigma := range []float64{10, 60, 120} {
		a := newCells(noisyCells(1, 1, sigma))
		if v := a.likeness(newCells(noisyCells(1, 2, sigma))); math.Abs(v-1) > 0.03 {
			t.Errorf("noise %v: likeness of the same %.3f", sigma, v)
		}
		if v := a.likeness(newCells(noisyCells(2, 3, sigma))); math.Abs(v) > 0.15 {
			t.Errorf("noise %v: likeness of others %.3f", sigma, v)
		}
		if d := a.differ(newCells(noisyCells(1, 4, sigma))); len(d) > 0 {
			t.Errorf("noise %v: the same differs at %v", sigma, d)
		}
	}
	if v := newCells(noisyCells(1, 1, 1e4)).likeness(newCells(noisyCells(1, 2, 1e4))); v > 0.6 {
		t.Errorf("of noise alone %.2f", v)
	}
}

// A part that was changed is found, and no other.
func TestDiffer(t *testing.T) {
	m := noisyCells(1, 2, 30)
	changed := image.Rect(160, 80, 208, 112)
	for y := changed.Min.Y; y < changed.Max.Y; y++ {
		for x := changed.Min.X; x < changed.Max.X; x++ {
			m.Pix[y*m.Stride+x] = 255 - m.Pix[y*m.Stride+x]
		}
	}
	d := newCells(noisyCells(1, 1, 30)).differ(newCells(m))
	if len(d) != 1 || d[0] != changed {
		t.Error(d)
	}
}

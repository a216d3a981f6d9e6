package scenario

import (
	"image"
	"math"
	"math/rand/v2"
)

// DenseInk is the share of black pixels in a [DenseChart].
const DenseInk = 0.10

// pen is the width of all lines of a [DenseChart], in pixels.
const pen = 2

// DenseChart draws a chart in which a tenth of the pixels is black, all of it in lines two pixels wide:
// contour lines of a random smooth field, coasts, a graticule and the strokes of station plots.
// The interval of the contour lines is what makes up the tenth.
func DenseChart(width, height int, seed int64) *image.Gray {
	return dense(newCanvas(width, height), seed)
}

// SoftChart is a [DenseChart] that is anti-aliased: its strokes have grey rims.
func SoftChart(width, height int, seed int64) *image.Gray {
	c := newCanvas(width, height)
	c.soft = true
	return dense(c, seed)
}

func dense(base canvas, seed int64) *image.Gray {
	in := base.frame(pen)
	if in.Dx() < 100 || in.Dy() < 100 { // no room for a chart
		return base.Gray
	}
	c := base.within(in)
	rng := rand.New(rand.NewPCG(uint64(seed), 0xd5))
	x0, y0, x1, y1 := float64(in.Min.X), float64(in.Min.Y), float64(in.Max.X), float64(in.Max.Y)

	land := noise(rng.Uint64())
	coast := sample(x0-4, y0-4, x1+4, y1+4, 3, func(x, y float64) float64 { return land.fractal(x/420, y/420, 6, 0.5) })
	for _, line := range coast.contours(0.12) {
		if len(line) > 20 {
			c.stroke(pen, black, line...)
		}
	}
	graticule(c, in)
	for range in.Dx() * in.Dy() / 60000 {
		station(c, point{x0 + rng.Float64()*(x1-x0), y0 + rng.Float64()*(y1-y0)}, rng.Float64()*2*math.Pi, 5*rng.IntN(14), pen, 1)
	}

	field := sample(x0-4, y0-4, x1+4, y1+4, 4, newWaves(rng, 60, 130, 1000).at)
	before, bare := append([]uint8(nil), c.Pix...), inkShare(c.Gray)
	for interval, try := 5.0, 0; ; try++ {
		copy(c.Pix, before)
		isolines(c, field, interval)
		ink := inkShare(c.Gray)
		if math.Abs(ink-DenseInk) < 0.0005 || ink <= bare || try == 12 {
			return c.Gray
		}
		interval *= (ink - bare) / (DenseInk - bare) // the lines' ink is about inverse to their interval
	}
}

func isolines(c canvas, field *grid, interval float64) {
	lo, hi := field.bounds()
	for k := math.Ceil(lo/interval - 0.5); (k+0.5)*interval < hi; k++ {
		for _, line := range field.contours((k + 0.5) * interval) {
			if len(line) > 8 { // smaller rings would be blots, not lines
				c.stroke(pen, black, line...)
			}
		}
	}
}

// graticule draws meridians that converge upwards and parallels that sag, about 300 pixels apart.
func graticule(c canvas, in image.Rectangle) {
	cx := float64(in.Min.X+in.Max.X) / 2
	pole := point{cx, float64(in.Min.Y) - 2.2*float64(in.Dx())}
	low := float64(in.Max.Y) - pole.y
	for k := -8.0; k <= 8; k++ {
		a := math.Pi/2 + k*0.075
		c.stroke(pen, black, polar(pole, low*0.5, a), polar(pole, low*1.3, a))
	}
	for r := 1.9 * float64(in.Dx()); r < low*1.1; r += 280 {
		c.stroke(pen, black, arc(pole, r, math.Pi/2-0.7, math.Pi/2+0.7)...)
	}
}

func inkShare(m *image.Gray) float64 {
	n := 0
	for _, p := range m.Pix {
		if p < 128 {
			n++
		}
	}
	return float64(n) / float64(max(len(m.Pix), 1))
}

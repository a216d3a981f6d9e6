package scenario

import (
	"image"
	"math"
	"math/rand/v2"
)

// Clouds draws a grey cloud picture as services differ in them: a tone curve of its own (dark sea, bright ice, or all
// greys alike), with or without white margins of the dead sector, with or without a caption strip, which is black on
// white or white on black. It is grey from edge to edge where it has no margin.
func Clouds(width, height int, seed uint64) *image.Gray {
	rng := rand.New(rand.NewPCG(seed, 0x636c6f756473))
	c := newCanvas(width, height)
	in := c.Rect
	if rng.IntN(3) == 0 {
		margin := int(Margin * float64(width))
		in.Min.X, in.Max.X = in.Min.X+margin, in.Max.X-margin
	}
	if rng.IntN(2) == 0 {
		strip := image.Rect(in.Min.X, in.Min.Y, in.Max.X, min(in.Min.Y+44, in.Max.Y))
		paper, ink := uint8(white), uint8(black)
		if rng.IntN(2) == 0 {
			paper, ink = ink, paper
		}
		c.fillRect(strip, paper)
		c.within(strip).text(face(bold, 26), float64(strip.Min.X+30), float64(strip.Min.Y+31), "OSTREL TEST PICTURE  INVENTED CLOUD", ink)
		in.Min.Y = strip.Max.Y
	}
	cloud, warp := noise(rng.Uint64()), noise(rng.Uint64())
	size := 200 + 500*rng.Float64()                          // pixels to a cloud system
	middle, contrast := rng.Float64(), 0.3+0.7*rng.Float64() // of the tone curve
	gamma := math.Exp(rng.NormFloat64() * 0.5)
	for y := in.Min.Y; y < in.Max.Y; y++ {
		row := c.Pix[c.PixOffset(0, y):]
		for x := in.Min.X; x < in.Max.X; x++ {
			u, v := float64(x)/size, float64(y)/size
			wx, wy := warp.fractal(u*0.7, v*0.7, 2, 0.5), warp.fractal(u*0.7+31, v*0.7+57, 2, 0.5)
			t := middle + contrast*cloud.fractal(u+1.1*wx, v*1.5+1.1*wy, 7, 0.55)
			row[x] = uint8(255*math.Pow(max(0, min(1, t)), gamma) + 0.5)
		}
	}
	return c.Gray
}

package scenario

import (
	"image"
	"math"
	"math/rand/v2"
)

// Satellite draws a grey-scale picture of invented clouds over the whole range 0 to 255, with coasts and
// graticule laid over it in white and a wedge of sixteen grey steps at the bottom.
func Satellite(width, height int, seed int64) *image.Gray {
	c := newCanvas(width, height)
	in := c.frame(3)
	rng := rand.New(rand.NewPCG(uint64(seed), 0x5a))
	cloud, warp, land := noise(rng.Uint64()), noise(rng.Uint64()), noise(rng.Uint64())
	wedge := min(in.Dy()/6, 72)
	sky := in
	sky.Max.Y -= wedge
	if sky.Empty() {
		return c.Gray
	}
	const size = 430.0 // pixels to a cloud system
	for y := sky.Min.Y; y < sky.Max.Y; y++ {
		row := c.Pix[c.PixOffset(0, y):]
		for x := sky.Min.X; x < sky.Max.X; x++ {
			u, v := float64(x)/size, float64(y)/size
			// Carrying the noise along another noise draws it out into bands and swirls.
			wx, wy := warp.fractal(u*0.7, v*0.7, 2, 0.5), warp.fractal(u*0.7+31, v*0.7+57, 2, 0.5)
			t := cloud.fractal(u+1.1*wx, v*1.5+1.1*wy, 7, 0.55)
			row[x] = uint8(255*ease(max(0, min(1, 0.47+0.72*t))) + 0.5)
		}
	}
	over := c.within(sky)
	coast := sample(float64(sky.Min.X), float64(sky.Min.Y), float64(sky.Max.X), float64(sky.Max.Y), 3,
		func(x, y float64) float64 { return land.fractal(x/520, y/520, 6, 0.5) })
	for _, line := range coast.contours(0.1) {
		if len(line) > 30 {
			over.stroke(4, black, line...)
			over.stroke(2, white, line...)
		}
	}
	for x := sky.Min.X + 150; x < sky.Max.X; x += 300 {
		over.dots(point{float64(x), float64(sky.Min.Y)}, point{float64(x), float64(sky.Max.Y)})
	}
	for y := sky.Min.Y + 150; y < sky.Max.Y; y += 300 {
		over.dots(point{float64(sky.Min.X), float64(y)}, point{float64(sky.Max.X), float64(y)})
	}
	const steps = 16
	for i := range steps {
		c.fillRect(image.Rect(in.Min.X+in.Dx()*i/steps, sky.Max.Y, in.Min.X+in.Dx()*(i+1)/steps, in.Max.Y), uint8(i*255/(steps-1)))
	}
	f := face(bold, 26)
	title := "OSTREL TEST PICTURE  CLOUD, GREY SCALE  NOT AN OBSERVATION"
	plate := image.Rect(sky.Min.X, sky.Min.Y, min(sky.Max.X, sky.Min.X+int(textWidth(f, title))+36), min(sky.Max.Y, sky.Min.Y+46))
	c.fillRect(plate, white)
	c.within(plate).text(f, float64(plate.Min.X+18), float64(plate.Min.Y+32), title, black)
	return c.Gray
}

// dots draws a dotted line that shows on light and on dark.
func (c canvas) dots(a, b point) {
	n := int(math.Round(b.sub(a).length() / 14))
	for i := range n {
		p := mix(a, b, (float64(i)+0.5)/float64(n))
		c.stroke(4, black, p, p)
		c.stroke(2, white, p, p)
	}
}

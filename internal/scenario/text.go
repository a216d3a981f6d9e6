package scenario

import (
	"image"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

var regular, bold, italic, mono = parse(goregular.TTF), parse(gobold.TTF), parse(goitalic.TTF), parse(gomono.TTF)

// parse reads one of the fonts that are compiled in; they are known to be good.
func parse(ttf []byte) *opentype.Font {
	f, err := opentype.Parse(ttf)
	if err != nil {
		panic("scenario: compiled-in font: " + err.Error())
	}
	return f
}

// face returns a font with an em of size pixels.
func face(f *opentype.Font, size float64) font.Face {
	fc, err := opentype.NewFace(f, &opentype.FaceOptions{Size: max(size, 1), DPI: 72, Hinting: font.HintingFull})
	if err != nil {
		panic("scenario: compiled-in font: " + err.Error())
	}
	return fc
}

// text draws s with its baseline starting at (x, y), two-level: glyph masks are cut at half coverage.
func (c canvas) text(f font.Face, x, y float64, s string, ink uint8) {
	dot := fixed.P(int(math.Round(x)), int(math.Round(y)))
	last := rune(-1)
	for _, r := range s {
		if last >= 0 {
			dot.X += f.Kern(last, r)
		}
		box, mask, at, advance, ok := f.Glyph(dot, r)
		if ok {
			c.stamp(box, mask, at, ink)
		}
		dot.X += advance
		last = r
	}
}

func (c canvas) stamp(box image.Rectangle, mask image.Image, at image.Point, ink uint8) {
	r := box.Intersect(c.clip)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			if _, _, _, a := mask.At(at.X+x-box.Min.X, at.Y+y-box.Min.Y).RGBA(); a >= 0x8000 {
				c.Pix[c.PixOffset(x, y)] = ink
			}
		}
	}
}

func textWidth(f font.Face, s string) float64 { return float64(font.MeasureString(f, s)) / 64 }

// label draws s centred on p with a white halo of the given width around its letters.
func (c canvas) label(f font.Face, p point, s string, halo float64) {
	b, _ := font.BoundString(f, s)
	x := math.Round(p.x - textWidth(f, s)/2)
	y := math.Round(p.y - float64(b.Min.Y+b.Max.Y)/128)
	for i := range 12 {
		at := polar(point{x, y}, halo, float64(i)*math.Pi/6)
		c.text(f, at.x, at.y, s, white)
	}
	c.text(f, x, y, s, black)
}

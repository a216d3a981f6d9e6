package survey

import (
	"image"
	"image/color"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// drawing is a picture on its way.
type drawing struct {
	*image.RGBA
	p     *Picture
	in    image.Rectangle // of the spectrogram
	axes  Axes
	face  font.Face
	marks []Finding
}

// x and y are where a sample and a frequency are.
func (d *drawing) x(sample int64) int {
	span := float64(max(d.p.end()-d.p.base, 1))
	v := float64(sample-d.p.base) / span * float64(d.in.Dx())
	return d.in.Min.X + int(min(max(v, 0), float64(d.in.Dx()-1)))
}

func (d *drawing) y(hz float64) int {
	v := (hz - d.p.lowHz) / d.p.rowHz
	return d.in.Max.Y - 1 - int(min(max(v, 0), float64(d.p.rows-1)))
}

// rectangle is that around a finding, and some pixels more.
func (d *drawing) rectangle(f Finding) image.Rectangle {
	r := image.Rect(d.x(f.Begin)-2, d.y(f.HighHz)-2, d.x(f.End)+3, d.y(f.LowHz)+3)
	if grow := 9 - r.Dy(); grow > 0 {
		r.Min.Y, r.Max.Y = r.Min.Y-grow/2, r.Max.Y+grow-grow/2
	}
	return r.Intersect(d.in)
}

func (d *drawing) width(text string) int { return font.MeasureString(d.face, text).Ceil() }

func (d *drawing) write(face font.Face, x, y int, text string, c color.RGBA) {
	w := font.Drawer{Dst: d, Src: image.NewUniform(c), Face: face, Dot: fixed.P(x, y)}
	w.DrawString(text)
}

// line draws a horizontal or vertical line.
func (d *drawing) line(x0, y0, x1, y1 int, c color.RGBA) {
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			d.SetRGBA(x, y, c)
		}
	}
}

func (d *drawing) frame(r image.Rectangle, c color.RGBA) {
	r = r.Intersect(d.in)
	if r.Empty() {
		return
	}
	d.line(r.Min.X, r.Min.Y, r.Max.X-1, r.Min.Y, c)
	d.line(r.Min.X, r.Max.Y-1, r.Max.X-1, r.Max.Y-1, c)
	d.line(r.Min.X, r.Min.Y, r.Min.X, r.Max.Y-1, c)
	d.line(r.Max.X-1, r.Min.Y, r.Max.X-1, r.Max.Y-1, c)
}

func fontFace(size float64) font.Face {
	f, err := opentype.NewFace(regular, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingFull})
	if err != nil {
		panic(err)
	}
	return f
}

var regular = func() *opentype.Font {
	f, err := opentype.Parse(goregular.TTF)
	if err != nil {
		panic(err) // the font is part of the library
	}
	return f
}()

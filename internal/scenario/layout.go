package scenario

import (
	"image"
	"math/rand/v2"
)

// Layout is a chart as other offices lay theirs out: margins of any width, a frame or none, and one of the Styles of
// content. It differs in this from the pictures that keep to [Margin].
type Layout struct {
	Style       string
	Left, Right int  // margins, pixels
	Frame       int  // thickness, pixels; 0: there is none
	Double      bool // a second, thin frame inside the first
	Smooth      bool // anti-aliased
	Top, Bottom bool // whether the page begins and ends with the picture; otherwise it goes on beyond
	Seed        uint64
}

// style draws what is inside the frame.
type style struct {
	name string
	draw func(a *artist)
}

var styles = []style{
	{"aloft", (*artist).aloft},
	{"coast", (*artist).coast},
	{"hatched", (*artist).hatched},
	{"ice", (*artist).ice},
	{"isobars", (*artist).isobars},
	{"lettering", (*artist).lettering},
	{"panels", (*artist).panels},
	{"satellite", (*artist).satellite},
	{"satellite grid", (*artist).satelliteGrid},
	{"side legend", (*artist).sideLegend},
	{"stations", (*artist).stations},
	{"table", (*artist).table},
	{"waves", (*artist).waves},
}

// Styles are the names of what a Layout can hold.
func Styles() []string {
	names := make([]string, len(styles))
	for i, s := range styles {
		names[i] = s.name
	}
	return names
}

// RandomLayout draws the fields of a layout by chance: margins of 0 to 5 % of the width, alike on both sides in every
// second layout, a frame of 1 to 6 pixels in two of three.
func RandomLayout(width int, seed uint64) Layout {
	rng := rand.New(rand.NewPCG(seed, 0x6c61796f7574))
	margin := func() int { return int(0.05 * rng.Float64() * float64(width)) }
	l := Layout{Style: styles[rng.IntN(len(styles))].name, Left: margin(), Seed: rng.Uint64()}
	l.Right = l.Left
	switch rng.IntN(8) {
	case 0:
		l.Left, l.Right = 0, 0
	case 1, 2, 3, 4:
		l.Right = margin()
	}
	if rng.IntN(3) > 0 {
		l.Frame = 1 + rng.IntN(6)
		l.Double = rng.IntN(4) == 0
	}
	l.Smooth = rng.IntN(2) == 0
	l.Top, l.Bottom = rng.IntN(2) == 0, rng.IntN(2) == 0
	return l
}

// Draw draws the layout; the same fields make the same picture.
func (l Layout) Draw(width, height int) *image.Gray {
	q := 1 // parts of a pixel
	if l.Smooth {
		q = 2
	}
	c := newCanvas(q*width, q*height)
	rng := rand.New(rand.NewPCG(l.Seed, 0x7374796c65))
	r := image.Rect(q*l.Left, 0, q*(width-l.Right), q*height)
	gap := q * (4 + rng.IntN(30))
	r.Min.Y, r.Max.Y = -gap, r.Max.Y+gap
	if l.Top {
		r.Min.Y = gap
	}
	if l.Bottom {
		r.Max.Y = q*height - gap
	}
	if l.Frame > 0 {
		c.fillRect(r, black)
		r = r.Inset(q * l.Frame)
		c.fillRect(r, white)
		if l.Double {
			in := r.Inset(q * (3 + rng.IntN(12)))
			c.fillRect(in, black)
			r = in.Inset(q)
			c.fillRect(r, white)
		}
	}
	a := &artist{canvas: c.within(r), in: r, rng: rng, k: float64(q), weight: float64(q) * (1.3 + 2.2*rng.Float64())}
	for _, s := range styles {
		if s.name == l.Style {
			s.draw(a)
		}
	}
	if q == 1 {
		return c.Gray
	}
	return halved(c.Gray)
}

// halved is m at half its size, each pixel the mean of four.
func halved(m *image.Gray) *image.Gray {
	out := image.NewGray(image.Rect(0, 0, m.Rect.Dx()/2, m.Rect.Dy()/2))
	for y := range out.Rect.Dy() {
		a, b := m.Pix[2*y*m.Stride:], m.Pix[(2*y+1)*m.Stride:]
		for x := range out.Rect.Dx() {
			sum := int(a[2*x]) + int(a[2*x+1]) + int(b[2*x]) + int(b[2*x+1])
			out.Pix[y*out.Stride+x] = uint8((sum + 2) / 4)
		}
	}
	return out
}

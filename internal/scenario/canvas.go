package scenario

import (
	"image"
	"math"
	"slices"
)

const (
	white = 255
	black = 0
)

type point struct{ x, y float64 }

func (p point) add(q point) point     { return point{p.x + q.x, p.y + q.y} }
func (p point) sub(q point) point     { return point{p.x - q.x, p.y - q.y} }
func (p point) scale(k float64) point { return point{p.x * k, p.y * k} }
func (p point) length() float64       { return math.Hypot(p.x, p.y) }
func (p point) left() point           { return point{p.y, -p.x} } // a quarter turn to the left as seen (y is down)
func mix(p, q point, t float64) point { return p.add(q.sub(p).scale(t)) }
func polar(c point, r, angle float64) point {
	return point{c.x + r*math.Cos(angle), c.y + r*math.Sin(angle)}
}

func (p point) unit() point {
	if l := p.length(); l > 0 {
		return p.scale(1 / l)
	}
	return point{1, 0}
}

// canvas is a picture with a two-level pen; clip bounds what the pen may touch. A soft pen inks the pixels on the rim
// of its black strokes by about the share that the stroke covers.
type canvas struct {
	*image.Gray
	clip image.Rectangle
	soft bool
}

func newCanvas(width, height int) canvas {
	m := image.NewGray(image.Rect(0, 0, max(width, 0), max(height, 0)))
	for i := range m.Pix {
		m.Pix[i] = white
	}
	return canvas{Gray: m, clip: m.Rect}
}

// within returns the canvas with its pen held inside r.
func (c canvas) within(r image.Rectangle) canvas {
	c.clip = c.clip.Intersect(r)
	return c
}

// frame draws the rectangular frame, pen pixels thick, and returns the area inside it.
func (c canvas) frame(pen int) image.Rectangle {
	m := int(math.Ceil(Margin * float64(c.Rect.Dx())))
	r := image.Rectangle{image.Pt(m, m/2), image.Pt(c.Rect.Dx()-m, c.Rect.Dy()-m/2)} // Rect would swap crossed sides
	if r.Dx() <= 2*pen || r.Dy() <= 2*pen {
		return image.Rectangle{}
	}
	in := r.Inset(pen)
	c.fillRect(r, black)
	c.fillRect(in, white)
	return in
}

func (c canvas) fillRect(r image.Rectangle, ink uint8) {
	r = r.Intersect(c.clip)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		row := c.Pix[c.PixOffset(r.Min.X, y):][:r.Dx()]
		for i := range row {
			row[i] = ink
		}
	}
}

// pixels gives the pixels whose centres can lie in the given box.
func (c canvas) pixels(x0, y0, x1, y1 float64) image.Rectangle {
	const far = 1 << 20
	to := func(v float64) int { return int(math.Max(-far, math.Min(far, v))) }
	return image.Rect(to(math.Floor(x0)), to(math.Floor(y0)), to(math.Ceil(x1))+1, to(math.Ceil(y1))+1).Intersect(c.clip)
}

// stroke draws a polyline with round joints and ends.
func (c canvas) stroke(pen float64, ink uint8, line ...point) {
	for i := 1; i < len(line); i++ {
		c.segment(line[i-1], line[i], pen/2, ink)
	}
}

func (c canvas) segment(a, b point, r float64, ink uint8) {
	if dx, dy := math.Abs(a.x-b.x), math.Abs(a.y-b.y); min(dx, dy) > 64 { // keep the scanned boxes small
		m := mix(a, b, 0.5)
		c.segment(a, m, r, ink)
		c.segment(m, b, r, ink)
		return
	}
	rim := 0.0
	if c.soft {
		rim = 0.5
	}
	reach := r + rim
	box := c.pixels(min(a.x, b.x)-reach, min(a.y, b.y)-reach, max(a.x, b.x)+reach, max(a.y, b.y)+reach)
	d := b.sub(a)
	dd := d.x*d.x + d.y*d.y
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			p := point{float64(x) + 0.5, float64(y) + 0.5}.sub(a)
			t := 0.0
			if dd > 0 {
				t = max(0, min(1, (p.x*d.x+p.y*d.y)/dd))
			}
			// "<" on one side only would make a line on pixel centres 2 or 3 wide by rounding: keep a hair off.
			e := p.sub(d.scale(t))
			switch at := c.PixOffset(x, y); {
			case c.soft && ink == black:
				c.Pix[at] = min(c.Pix[at], uint8(255*max(0, min(1, 0.5-r+e.length()))+0.5))
			case e.x*e.x+e.y*e.y < r*r-1e-6:
				c.Pix[at] = ink
			}
		}
	}
}

// dashes draws a polyline in dashes of on pixels with gaps of off pixels.
func (c canvas) dashes(pen, on, off float64, line ...point) {
	at := 0.0
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		l := b.sub(a).length()
		for s := 0.0; s < l; {
			phase := math.Mod(at+s, on+off)
			step := on - phase
			if phase >= on {
				step = on + off - phase
			}
			e := min(l, s+max(step, 1e-3))
			if phase < on {
				c.stroke(pen, black, mix(a, b, s/l), mix(a, b, e/l))
			}
			s = e
		}
		at += l
	}
}

// fill inks the pixels whose centres are inside the polygon (even-odd rule).
func (c canvas) fill(ink uint8, poly ...point) {
	if len(poly) < 3 {
		return
	}
	x0, y0, x1, y1 := poly[0].x, poly[0].y, poly[0].x, poly[0].y
	for _, p := range poly {
		x0, y0, x1, y1 = min(x0, p.x), min(y0, p.y), max(x1, p.x), max(y1, p.y)
	}
	box := c.pixels(x0, y0, x1, y1)
	var cuts []float64
	for y := box.Min.Y; y < box.Max.Y; y++ {
		cy := float64(y) + 0.5
		cuts = cuts[:0]
		for i, p := range poly {
			q := poly[(i+1)%len(poly)]
			if (p.y <= cy) != (q.y <= cy) {
				cuts = append(cuts, p.x+(cy-p.y)/(q.y-p.y)*(q.x-p.x))
			}
		}
		slices.Sort(cuts)
		for i := 0; i+1 < len(cuts); i += 2 {
			from := max(box.Min.X, int(math.Ceil(cuts[i]-0.5)))
			for x := from; x < box.Max.X && float64(x)+0.5 < cuts[i+1]; x++ {
				c.Pix[c.PixOffset(x, y)] = ink
			}
		}
	}
}

// arc gives the points of a circular arc from angle a to angle b in radians.
func arc(centre point, r, a, b float64) []point {
	n := max(8, int(math.Abs(b-a)*r/3))
	pts := make([]point, n+1)
	for i := range pts {
		pts[i] = polar(centre, r, a+(b-a)*float64(i)/float64(n))
	}
	return pts
}

func circle(centre point, r float64) []point { return arc(centre, r, 0, 2*math.Pi) }

// spline draws a smooth curve through the knots (centripetal enough for hand-placed ones: uniform Catmull-Rom).
func spline(knots ...point) []point {
	if len(knots) < 3 {
		return knots
	}
	at := func(i int) point { return knots[max(0, min(len(knots)-1, i))] }
	var out []point
	for i := 0; i+1 < len(knots); i++ {
		a, b, c, d := at(i-1), at(i), at(i+1), at(i+2)
		n := max(2, int(c.sub(b).length()/4))
		for k := range n {
			t := float64(k) / float64(n)
			f := func(a, b, c, d float64) float64 {
				return b + t*(c-a)/2 + t*t*(a-2.5*b+2*c-d/2) + t*t*t*(1.5*b-a/2-1.5*c+d/2)
			}
			out = append(out, point{f(a.x, b.x, c.x, d.x), f(a.y, b.y, c.y, d.y)})
		}
	}
	return append(out, knots[len(knots)-1])
}

// Blank returns a white picture with the frame alone.
func Blank(width, height int) *image.Gray {
	c := newCanvas(width, height)
	c.frame(2)
	return c.Gray
}

package scenario

import (
	"fmt"
	"image"
	"math"
	"math/rand/v2"
)

// Chart draws the chart of the demonstration: a surface analysis of the invented Ostrel Met Office, in black
// and white. It is laid out for 1810 × 1200 pixels and scaled to other sizes; its map fills what is there.
func Chart(width, height int) *image.Gray {
	base := newCanvas(width, height)
	in := base.frame(3)
	if in.Dx() < 100 || in.Dy() < 100 {
		return base.Gray // no room for a chart
	}
	s := newSheet(base.within(in), in)
	s.drawLand()
	s.drawGraticule()
	s.drawIsobars()
	for _, f := range fronts {
		s.drawFront(f)
	}
	s.drawStations()
	s.drawCentres()
	s.drawNames()
	s.drawEdgeLabels()
	s.drawTitle()
	s.drawLegend()
	return base.Gray
}

// sheet is the chart being drawn. Its geography is in units of u, a thousandth of the width, from the upper
// left corner of the frame; y is stretched so that 620 units fill the height.
type sheet struct {
	canvas
	in     image.Rectangle
	k      float64 // pixels to a design pixel of the 1810 pixel sheet
	sx, sy float64 // pixels a unit
	keep   []image.Rectangle
	paths  [][]point // fronts, in pixels
	peaks  []point   // where the highs and lows are, in pixels
	rng    *rand.Rand
}

func newSheet(c canvas, in image.Rectangle) *sheet {
	s := &sheet{canvas: c, in: in, rng: rand.New(rand.NewPCG(1810, 576))}
	s.sx, s.sy = float64(in.Dx())/1000, float64(in.Dy())/664
	s.k = float64(in.Dx()) / 1726
	for _, f := range fronts {
		knots := make([]point, len(f.knots))
		for i, p := range f.knots {
			knots[i] = s.px(p)
		}
		s.paths = append(s.paths, spline(knots...))
	}
	for _, c := range centres {
		s.peaks = append(s.peaks, s.extremum(c))
	}
	s.claimPlaces()
	return s
}

// claimPlaces keeps labels and stations off everything that has a fixed place.
func (s *sheet) claimPlaces() {
	for _, p := range s.peaks {
		s.claim(p.add(point{0, -14 * s.k}), 44*s.k, 66*s.k)
	}
	for _, n := range places {
		wide := 6.0
		if n.water {
			wide = 14
		}
		s.claim(s.px(n.at), float64(len(n.name))*wide*s.k, 16*s.k)
	}
	for _, path := range s.paths {
		for i := 0; i < len(path); i += 6 {
			s.claim(path[i], 24*s.k, 24*s.k)
		}
	}
	s.claim(point{float64(s.in.Min.X), float64(s.in.Min.Y)}, 590*s.k, 146*s.k)
	s.claim(point{float64(s.in.Min.X), float64(s.in.Max.Y)}, 2*float64(s.in.Dx()), 115*s.k)
}

func (s *sheet) px(u point) point {
	return point{float64(s.in.Min.X) + u.x*s.sx, float64(s.in.Min.Y) + u.y*s.sy}
}

func (s *sheet) unit(x, y float64) (u, v float64) {
	return (x - float64(s.in.Min.X)) / s.sx, (y - float64(s.in.Min.Y)) / s.sy
}

// pen is a line width of at least one pixel that scales with the sheet.
func (s *sheet) pen(w float64) float64 { return max(1.2, w*s.k) }

// free reports whether nothing stands in the box yet, and claims it if so.
func (s *sheet) free(c point, w, h float64) bool {
	r := image.Rect(int(c.x-w), int(c.y-h), int(c.x+w), int(c.y+h))
	if !r.In(s.in) {
		return false
	}
	for _, k := range s.keep {
		if r.Overlaps(k) {
			return false
		}
	}
	s.keep = append(s.keep, r)
	return true
}

// claim keeps later labels off the box around c.
func (s *sheet) claim(c point, w, h float64) {
	s.keep = append(s.keep, image.Rect(int(c.x-w), int(c.y-h), int(c.x+w), int(c.y+h)))
}

func (s *sheet) field(step float64, f func(x, y float64) float64) *grid {
	return sample(float64(s.in.Min.X)-step, float64(s.in.Min.Y)-step, float64(s.in.Max.X)+step, float64(s.in.Max.Y)+step, step, f)
}

// pressure is the analysed pressure in hPa at a pixel: highs and lows, and a trough with a kink along each front.
func (s *sheet) pressure(x, y float64) float64 {
	u, v := s.unit(x, y)
	p := 1012 + 6*math.Sin(u/260+0.4)*math.Cos(v/240) - (v-330)/-60
	for _, c := range centres {
		dx, dy := (u-c.at.x)/c.size, (v-c.at.y)/(c.size*0.8)
		p += c.rise * math.Exp(-(dx*dx+dy*dy)/2)
	}
	for i, path := range s.paths {
		d := distance(path, point{x, y}) / s.sx
		p -= fronts[i].trough * math.Exp(-d/45)
	}
	return p
}

// distance from p to a polyline, tested at every fourth point and its chord; exact enough for a trough.
func distance(path []point, p point) float64 {
	best := math.Inf(1)
	for i := 0; i+1 < len(path); i += 4 {
		a, b := path[i], path[min(i+4, len(path)-1)]
		d, q := b.sub(a), p.sub(a)
		t := max(0, min(1, (q.x*d.x+q.y*d.y)/max(d.x*d.x+d.y*d.y, 1e-9)))
		e := q.sub(d.scale(t))
		best = min(best, e.x*e.x+e.y*e.y)
	}
	return math.Sqrt(best)
}

func (s *sheet) drawIsobars() {
	g := s.field(4, s.pressure)
	lo, hi := g.bounds()
	f := face(bold, 19*s.k)
	for level := math.Ceil(lo/4) * 4; level < hi; level += 4 {
		width := s.pen(2)
		if int(level)%20 == 0 {
			width = s.pen(3.4)
		}
		for _, line := range g.contours(level) {
			if len(line) < 12 {
				continue
			}
			s.stroke(width, black, line...)
		}
	}
	for level := math.Ceil(lo/4) * 4; level < hi; level += 4 {
		for _, line := range g.contours(level) {
			if len(line) < 40 {
				continue
			}
			every := max(len(line)/2+1, 130)
			for i := min(len(line)/3, 40); i < len(line); i += every {
				for j := i; j < min(i+60, len(line)); j += 6 { // the first free place along the line
					if s.free(line[j], 34*s.k, 20*s.k) {
						s.label(f, line[j], fmt.Sprint(int(level)), 3*s.k)
						break
					}
				}
			}
		}
	}
}

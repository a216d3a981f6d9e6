package scenario

import (
	"fmt"
	"math"
	"strings"
)

// Polar stereographic projection: the pole stands above the sheet, and a parallel of latitude is a circle about
// it with a radius in proportion to tan((90° - latitude)/2).
const (
	polarScale   = 2150.0 // units
	poleX, poleY = 500.0, -560.0
	midLongitude = -20.0
)

func (s *sheet) project(lat, lon float64) point {
	r := polarScale * math.Tan((90-lat)*math.Pi/360)
	sin, cos := math.Sincos((lon - midLongitude) * math.Pi / 180)
	return s.px(point{poleX + r*sin, poleY + r*cos})
}

func (s *sheet) drawGraticule() {
	for lat := 10.0; lat <= 80; lat += 10 {
		var line []point
		for lon := -110.0; lon <= 80; lon++ {
			line = append(line, s.project(lat, lon))
		}
		s.dashes(s.pen(2), 2*s.k, 9*s.k, line...)
	}
	for lon := -110.0; lon <= 80; lon += 10 {
		s.dashes(s.pen(2), 2*s.k, 9*s.k, s.project(85, lon), s.project(5, lon))
	}
}

func signed(v float64, plus, minus string) string {
	switch {
	case v > 0:
		return fmt.Sprintf("%.0f°%s", v, plus)
	case v < 0:
		return fmt.Sprintf("%.0f°%s", -v, minus)
	}
	return "0°"
}

// drawEdgeLabels names the meridians along the upper and lower edge and the parallels along both sides.
func (s *sheet) drawEdgeLabels() {
	f := face(bold, 17*s.k)
	x0, x1 := float64(s.in.Min.X)+30*s.k, float64(s.in.Max.X)-30*s.k
	y0, y1 := float64(s.in.Min.Y)+16*s.k, float64(s.in.Max.Y)-126*s.k
	try := func(p point, text string) {
		if s.free(p, 28*s.k, 13*s.k) {
			s.label(f, p, text, 3*s.k)
		}
	}
	for lon := -110.0; lon <= 80; lon += 10 {
		a, b := s.project(80, lon), s.project(10, lon)
		for _, y := range []float64{y0, y1} {
			try(mix(a, b, (y-a.y)/(b.y-a.y)), signed(lon, "E", "W"))
		}
	}
	for lat := 10.0; lat <= 80; lat += 10 {
		for _, x := range []float64{x0, x1} {
			last := s.project(lat, -110)
			for lon := -110.0; lon <= 80; lon += 0.5 {
				p := s.project(lat, lon)
				if (last.x < x) != (p.x < x) {
					try(point{x, p.y}, signed(lat, "N", "S"))
				}
				last = p
			}
		}
	}
}

// drawLand draws the coasts, and dots the land so that it tells from the sea.
func (s *sheet) drawLand() {
	rough := noise(4242)
	height := func(x, y float64) float64 {
		u, v := s.unit(x, y)
		h := -0.5 + 0.55*rough.fractal(u/90, v/90, 5, 0.55)
		for _, l := range lands {
			dx, dy := (u-l.at.x)/l.size, (v-l.at.y)/l.size
			if d := (dx*dx + dy*dy) / 2; d < 12 {
				h += l.rise * math.Exp(-d)
			}
		}
		return h
	}
	g := s.field(3, height)
	pitch := 11 * s.k
	row := 0
	for y := float64(s.in.Min.Y); y < float64(s.in.Max.Y); y += pitch * 0.8 {
		row++
		for x := float64(s.in.Min.X) + pitch*0.5*float64(row%2); x < float64(s.in.Max.X); x += pitch {
			if height(x, y) > 0 {
				s.stroke(s.pen(1.9), black, point{x, y}, point{x, y})
			}
		}
	}
	for _, line := range g.contours(0) {
		if len(line) > 14 {
			s.stroke(s.pen(2.6), black, line...)
		}
	}
}

func (s *sheet) drawNames() {
	for _, n := range places {
		p := s.px(n.at)
		if n.water {
			s.label(face(italic, 25*s.k), p, strings.Join(strings.Split(n.name, ""), " "), 4*s.k)
			continue
		}
		f := face(bold, 18*s.k)
		dot := point{p.x - textWidth(f, n.name)/2 - 12*s.k, p.y}
		s.label(f, p, n.name, 3*s.k)
		s.fill(white, circle(dot, 7*s.k)...)
		s.fill(black, circle(dot, 4.5*s.k)...)
	}
}

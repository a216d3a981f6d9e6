package scenario

import (
	"fmt"
	"image"
	"math"
)

// drawFront draws a front with its symbols: triangles for cold, half discs for warm air, both in turn for an
// occlusion; a trough is a dashed line (WMO-No. 485, symbols for analyses, from memory).
func (s *sheet) drawFront(f front) {
	knots := make([]point, len(f.knots))
	for i, p := range f.knots {
		knots[i] = s.px(p)
	}
	s.frontLine(f.kind, spline(knots...))
}

func (s *sheet) frontLine(kind frontKind, path []point) {
	if kind == trough {
		s.dashes(s.pen(5), 26*s.k, 14*s.k, path...)
		return
	}
	s.stroke(s.pen(5), black, path...)
	r, spacing := 15*s.k, 62*s.k
	next, n := spacing*0.5, 0
	at := 0.0
	for i := 1; i < len(path); i++ {
		step := path[i].sub(path[i-1])
		l := step.length()
		if at += l; at < next {
			continue
		}
		next += spacing
		dir := path[min(i+3, len(path)-1)].sub(path[max(i-4, 0)]).unit()
		c, out := path[i], dir.left()
		if kind == cold || kind == occluded && n%2 == 0 {
			s.fill(black, c.add(dir.scale(-r)), c.add(out.scale(1.55*r)), c.add(dir.scale(r)))
		} else {
			a := math.Atan2(out.y, out.x)
			s.fill(black, arc(c, 1.1*r, a-math.Pi/2, a+math.Pi/2)...)
		}
		n++
	}
}

// extremum climbs (or sinks, for a low) from where a centre was put to where the pressure field has it.
func (s *sheet) extremum(c centre) point {
	at, sign := s.px(c.at), math.Copysign(1, c.rise)
	inner := s.in.Inset(int(70 * s.k))
	for step := 16.0; step >= 1; {
		best := at
		for _, d := range []point{{step, 0}, {-step, 0}, {0, step}, {0, -step}} {
			p := at.add(d)
			if sign*s.pressure(p.x, p.y) > sign*s.pressure(best.x, best.y) && image.Pt(int(p.x), int(p.y)).In(inner) {
				best = p
			}
		}
		if best == at {
			step /= 2
		}
		at = best
	}
	return at
}

func (s *sheet) drawCentres() {
	big, small := face(bold, 62*s.k), face(bold, 25*s.k)
	for i, at := range s.peaks {
		letter := "H"
		if centres[i].rise < 0 {
			letter = "L"
		}
		x := 9 * s.k
		for _, ink := range []uint8{white, black} {
			w := s.pen(4) + 6*s.k*float64(ink)/white
			s.stroke(w, ink, at.add(point{-x, -x}), at.add(point{x, x}))
			s.stroke(w, ink, at.add(point{-x, x}), at.add(point{x, -x}))
		}
		s.label(big, at.add(point{0, -42 * s.k}), letter, 5*s.k)
		s.label(small, at.add(point{0, 30 * s.k}), fmt.Sprintf("%.0f", s.pressure(at.x, at.y)), 4*s.k)
	}
}

// wind follows the isobars with the low on the left (northern hemisphere), turned 20° towards it by friction;
// its speed is in proportion to the gradient. Returned: the direction that it comes from, and knots.
func (s *sheet) wind(p point) (from float64, knots int) {
	const d = 6
	g := point{(s.pressure(p.x+d, p.y) - s.pressure(p.x-d, p.y)) / (2 * d), (s.pressure(p.x, p.y+d) - s.pressure(p.x, p.y-d)) / (2 * d)}
	flow := g.left().unit()
	sin, cos := math.Sincos(-20 * math.Pi / 180)
	flow = point{flow.x*cos - flow.y*sin, flow.x*sin + flow.y*cos}
	return math.Atan2(-flow.y, -flow.x), int(min(65, 230*s.k*g.length()) + 0.5)
}

// drawStations plots reports where there is room: cloud cover, wind, temperature, dew point, pressure.
func (s *sheet) drawStations() {
	f := face(bold, 17*s.k)
	for j := 0.0; j < 8; j++ {
		for i := 0.0; i < 13; i++ {
			p := s.px(point{40 + i*77 + 44*(s.rng.Float64()-0.5), 50 + j*77 + 44*(s.rng.Float64()-0.5)})
			if !s.free(p, 44*s.k, 34*s.k) {
				continue
			}
			_, v := s.unit(p.x, p.y)
			from, knots := s.wind(p)
			temp := int(4 + v/38 + 5*s.rng.Float64())
			s.plot(f, p, from, knots, temp, temp-1-s.rng.IntN(5), s.pressure(p.x, p.y), s.rng.IntN(9))
		}
	}
}

func (s *sheet) plot(f fontFace, p point, from float64, knots, temp, dew int, hPa float64, oktas int) {
	s.fill(white, circle(p, 12*s.k)...)
	station(s.canvas, p, from, knots, s.pen(2), s.k)
	r := 7 * s.k
	switch {
	case oktas >= 8:
		s.fill(black, circle(p, r)...)
	case oktas > 0:
		s.fill(black, append(arc(p, r, -math.Pi/2, -math.Pi/2+2*math.Pi*float64(oktas)/8), p)...)
	}
	tenths := int(math.Round(hPa*10)) % 1000
	put := func(dx, dy float64, text string) {
		// A number that the staff would cross moves up or down out of its way.
		away := math.Remainder(math.Atan2(dy, dx)-from-0.15, 2*math.Pi)
		if knots >= 3 && math.Abs(away) < 0.5 {
			dy *= 2.1
		}
		s.label(f, p.add(point{dx * s.k, dy * s.k}), text, 2*s.k)
	}
	put(-25, -13, fmt.Sprint(temp))
	put(-25, 13, fmt.Sprint(dew))
	put(30, -13, fmt.Sprintf("%03d", tenths))
}

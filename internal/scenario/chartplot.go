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

// drawCentres marks the highs and lows where the pressure field really has them.
func (s *sheet) drawCentres() {
	big, small := face(bold, 62*s.k), face(bold, 25*s.k)
	for _, c := range centres {
		at, sign := s.px(c.at), 1.0
		if c.rise < 0 {
			sign = -1
		}
		for step := 16.0; step >= 1; { // climb (or sink) to the extremum
			best := at
			for _, d := range []point{{step, 0}, {-step, 0}, {0, step}, {0, -step}} {
				if p := at.add(d); sign*s.pressure(p.x, p.y) > sign*s.pressure(best.x, best.y) && (image.Point{int(p.x), int(p.y)}).In(s.in.Inset(int(40*s.k))) {
					best = p
				}
			}
			if best == at {
				step /= 2
			}
			at = best
		}
		letter := "H"
		if sign < 0 {
			letter = "L"
		}
		x := 9 * s.k
		s.stroke(s.pen(4), black, at.add(point{-x, -x}), at.add(point{x, x}))
		s.stroke(s.pen(4), black, at.add(point{-x, x}), at.add(point{x, -x}))
		s.label(big, at.add(point{0, -42 * s.k}), letter, 3*s.k)
		s.label(small, at.add(point{0, 30 * s.k}), fmt.Sprintf("%.0f", s.pressure(at.x, at.y)), 3*s.k)
	}
}

// wind follows the isobars with the low on the left (northern hemisphere), turned 20° towards it by friction;
// its speed is in proportion to the gradient. Returned: the direction that it comes from, and knots.
func (s *sheet) wind(p point) (from float64, knots int) {
	const d = 6
	g := point{(s.pressure(p.x+d, p.y) - s.pressure(p.x-d, p.y)) / (2 * d), (s.pressure(p.x, p.y+d) - s.pressure(p.x, p.y-d)) / (2 * d)}
	to := math.Atan2(g.y, g.x) + math.Pi/2 + 20*math.Pi/180 // high on the right: the gradient points to the right of the flow
	_ = to
	flow := g.left().unit()
	sin, cos := math.Sincos(-20 * math.Pi / 180)
	flow = point{flow.x*cos - flow.y*sin, flow.x*sin + flow.y*cos}
	return math.Atan2(-flow.y, -flow.x), int(min(65, 230*s.k*g.length()) + 0.5)
}

// drawStations plots reports where there is room: cloud cover, wind, temperature, dew point, pressure.
func (s *sheet) drawStations() {
	f := face(bold, 17*s.k)
	for _, c := range centres {
		s.claim(s.px(c.at), 46*s.k, 84*s.k)
	}
	for _, n := range places {
		s.claim(s.px(n.at), float64(len(n.name))*9*s.k, 16*s.k)
	}
	for _, path := range s.paths {
		for i := 0; i < len(path); i += 8 {
			s.claim(path[i], 26*s.k, 26*s.k)
		}
	}
	s.claim(point{float64(s.in.Min.X), float64(s.in.Min.Y)}, 600*s.k, 150*s.k)
	s.claim(point{float64(s.in.Min.X), float64(s.in.Max.Y)}, 2*float64(s.in.Dx()), 125*s.k)
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
	s.label(f, p.add(point{-25 * s.k, -13 * s.k}), fmt.Sprint(temp), 1)
	s.label(f, p.add(point{-25 * s.k, 13 * s.k}), fmt.Sprint(dew), 1)
	s.label(f, p.add(point{29 * s.k, -13 * s.k}), fmt.Sprintf("%03d", tenths), 1)
}

package scenario

import (
	"image"
	"math"

	"golang.org/x/image/font"
)

type fontFace = font.Face

func (s *sheet) box(x0, y0, x1, y1 float64) image.Rectangle {
	r := image.Rect(int(x0), int(y0), int(math.Ceil(x1)), int(math.Ceil(y1))).Intersect(s.in)
	s.fillRect(r, black)
	s.fillRect(r.Inset(max(1, int(2*s.k))), white)
	return r
}

func (s *sheet) drawTitle() {
	k := s.k
	x, y := float64(s.in.Min.X), float64(s.in.Min.Y)
	s.box(x-2*k, y-2*k, x+580*k, y+140*k)
	s.text(face(bold, 34*k), x+20*k, y+42*k, "OSTREL MET OFFICE", black)
	s.text(face(bold, 26*k), x+20*k, y+76*k, "SURFACE ANALYSIS  (hPa)", black)
	s.text(face(regular, 23*k), x+20*k, y+104*k, "VALID 1200 UTC  THU 14 OCT    CHART 27", black)
	s.text(face(regular, 20*k), x+20*k, y+129*k, "Polar stereographic projection, isobars every 4 hPa", black)
}

// drawLegend explains the symbols in a strip along the lower edge.
func (s *sheet) drawLegend() {
	k := s.k
	x, y := float64(s.in.Min.X), float64(s.in.Max.Y)-110*k
	right := float64(s.in.Max.X)
	s.box(x-2*k, y, right+2*k, float64(s.in.Max.Y)+2*k)
	f, b := face(regular, 19*k), face(bold, 20*k)
	s.text(b, x+20*k, y+32*k, "LEGEND", black)
	for i, e := range []struct {
		kind frontKind
		name string
	}{{cold, "Cold front"}, {warm, "Warm front"}, {occluded, "Occluded front"}, {trough, "Trough"}} {
		cx, cy := x+(150+float64(i%2)*310)*k, y+(36+float64(i/2)*46)*k
		var line []point
		for t := 0.0; t <= 130; t += 4 {
			line = append(line, point{cx + t*k, cy})
		}
		s.frontLine(e.kind, line)
		s.text(f, cx+145*k, cy+6*k, e.name, black)
	}
	cx := x + 790*k
	s.stroke(s.pen(2), black, point{cx, y + 36*k}, point{cx + 70*k, y + 36*k})
	s.text(f, cx+84*k, y+42*k, "Isobar, every 4 hPa", black)
	s.stroke(s.pen(3.4), black, point{cx, y + 82*k}, point{cx + 70*k, y + 82*k})
	s.text(f, cx+84*k, y+88*k, "Isobar, every 20 hPa", black)

	p := point{x + 1150*k, y + 70*k}
	s.plot(face(bold, 17*k), p, -1.9, 25, 12, 9, 1012.4, 5)
	s.text(f, p.x+62*k, y+30*k, "Temperature, dew point °C,", black)
	s.text(f, p.x+62*k, y+56*k, "pressure (1012.4 hPa), cloud,", black)
	s.text(f, p.x+62*k, y+82*k, "wind from NNW 25 kn", black)

	plate := s.box(right-250*k, y, right+2*k, float64(s.in.Max.Y)+2*k)
	s.fillRect(plate, black)
	for i, line := range []string{"NOT FOR NAVIGATION", "TEST CHART"} {
		f := face(bold, 21*k)
		s.text(f, right-(125*k)-textWidth(f, line)/2, y+(48+34*float64(i))*k, line, white)
	}
}

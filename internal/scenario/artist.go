package scenario

import (
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"strings"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
)

// artist draws the content of a Layout. Its canvas may be drawn at several parts to the pixel and may begin above and
// end below the picture.
type artist struct {
	canvas
	in     image.Rectangle
	rng    *rand.Rand
	k      float64 // parts a pixel
	weight float64 // of its usual stroke, in parts
}

func (a *artist) font(em float64) font.Face {
	t := typefaces[a.rng.IntN(len(typefaces))]
	ttf := t.upright
	if a.rng.IntN(4) == 0 {
		ttf = t.italic
	}
	f, err := opentype.Parse(ttf)
	if err != nil {
		panic("scenario: compiled-in font: " + err.Error())
	}
	return face(f, em*a.k)
}

// place is a point inside the frame, at least edge pixels away from it.
func (a *artist) place(edge float64) point {
	r := a.in.Intersect(a.Rect).Inset(int(edge * a.k))
	return point{float64(r.Min.X) + a.rng.Float64()*float64(r.Dx()), float64(r.Min.Y) + a.rng.Float64()*float64(r.Dy())}
}

// field samples f (of pixels) over the visible part of the sheet.
func (a *artist) field(f func(x, y float64) float64) *grid {
	r := a.in.Intersect(a.Rect).Inset(-int(8 * a.k))
	return sample(float64(r.Min.X), float64(r.Min.Y), float64(r.Max.X), float64(r.Max.Y), 4*a.k,
		func(x, y float64) float64 { return f(x/a.k, y/a.k) })
}

// contourLines draws n or so levels of a random smooth field, dashed or not, numbered if f is not nil.
func (a *artist) contourLines(n int, pen float64, dashed bool, f font.Face) {
	w := newWaves(a.rng, 40, 250, 1400)
	g := a.field(w.at)
	lo, hi := g.bounds()
	for i := range n {
		level := lo + (hi-lo)*(float64(i)+0.5)/float64(n)
		for _, line := range g.contours(level) {
			if len(line) < 12 {
				continue
			}
			if dashed {
				a.dashes(pen, 14*a.k, 8*a.k, line...)
			} else {
				a.stroke(pen, black, line...)
			}
			if f != nil && len(line) > 60 {
				a.label(f, line[a.rng.IntN(len(line))], fmt.Sprint(960+4*i), 3*a.k)
			}
		}
	}
}

// land draws coasts and returns what is land.
func (a *artist) land(size, sea float64) func(x, y float64) float64 {
	n := noise(a.rng.Uint64())
	height := func(x, y float64) float64 { return n.fractal(x/size, y/size, 5, 0.5) - sea }
	for _, line := range a.field(height).contours(0) {
		if len(line) > 10 {
			a.stroke(a.weight, black, line...)
		}
	}
	return height
}

// hatch draws parallel lines where inside is positive.
func (a *artist) hatch(inside func(x, y float64) float64, angle, pitch, pen float64) {
	dir := point{math.Cos(angle), math.Sin(angle)}
	r := a.in.Intersect(a.Rect)
	middle := point{float64(r.Min.X+r.Max.X) / 2, float64(r.Min.Y+r.Max.Y) / 2}
	reach := math.Hypot(float64(r.Dx()), float64(r.Dy())) / 2
	step := 3 * a.k
	for d := -reach; d < reach; d += pitch {
		foot := middle.add(dir.left().scale(d))
		var begin point
		on := false
		for t := -reach; t < reach; t += step {
			p := foot.add(dir.scale(t))
			land := image.Pt(int(p.x), int(p.y)).In(r.Inset(-int(8*a.k))) && inside(p.x/a.k, p.y/a.k) > 0
			switch {
			case land && !on:
				begin, on = p, true
			case !land && on:
				a.stroke(pen, black, begin, p)
				on = false
			}
		}
		if on {
			a.stroke(pen, black, begin, foot.add(dir.scale(reach)))
		}
	}
}

// meridians draws a straight grid that reaches the edge, or one that converges.
func (a *artist) meridians(pitch, pen float64, dotted bool) {
	line := func(p, q point) {
		if dotted {
			a.dashes(pen, 3*a.k, 6*a.k, p, q)
		} else {
			a.stroke(pen, black, p, q)
		}
	}
	x0, x1, y0, y1 := float64(a.in.Min.X), float64(a.in.Max.X), float64(a.in.Min.Y), float64(a.in.Max.Y)
	lean := 0.0
	if a.rng.IntN(2) == 0 {
		lean = (a.rng.Float64() - 0.5) * 0.0006 / a.k
	}
	middle := (x0 + x1) / 2
	for x := x0 - 600*a.k + a.rng.Float64()*pitch; x < x1+600*a.k; x += pitch {
		d := (x - middle) * lean * (y1 - y0)
		line(point{x - d, y0}, point{x + d, y1})
	}
	for y := y0 + a.rng.Float64()*pitch; y < y1; y += pitch {
		line(point{x0, y}, point{x1, y})
	}
}

// boxes puts titles and legends in boxes, often into a corner.
func (a *artist) boxes(n int) {
	r := a.in.Intersect(a.Rect)
	for range n {
		f := a.font(20 + 14*a.rng.Float64())
		words := strings.ToUpper(sentence(a.rng))
		text := words[:min(len(words), 12+a.rng.IntN(30))]
		w, h := int(textWidth(f, text)+20*a.k), int((50+90*a.rng.Float64())*a.k)
		at := image.Pt(r.Min.X+a.rng.IntN(max(r.Dx()-w, 1)), r.Min.Y+a.rng.IntN(max(r.Dy()-h, 1)))
		if a.rng.IntN(2) == 0 {
			at.X = r.Min.X - int(2*a.k)
		}
		b := image.Rectangle{at, at.Add(image.Pt(w, h))}
		a.fillRect(b, black)
		a.fillRect(b.Inset(int(2*a.k)), white)
		a.canvas.within(b).text(f, float64(b.Min.X)+10*a.k, float64(b.Min.Y)+36*a.k, text, black)
	}
}

func (a *artist) isobars() {
	if a.rng.IntN(2) == 0 {
		a.land(300, 0.1)
	}
	a.contourLines(8+a.rng.IntN(14), a.weight, false, a.font(18))
	big := a.font(60)
	for range 2 + a.rng.IntN(5) {
		a.label(big, a.place(40), string("HL"[a.rng.IntN(2)]), 5*a.k)
	}
	if a.rng.IntN(2) == 0 {
		a.meridians((150+200*a.rng.Float64())*a.k, 1.5*a.k, true)
	}
	a.boxes(a.rng.IntN(3))
}

func (a *artist) aloft() {
	a.contourLines(6+a.rng.IntN(8), a.weight*1.3, false, a.font(20))
	a.contourLines(5+a.rng.IntN(8), a.weight, true, a.font(16))
	a.meridians((180+200*a.rng.Float64())*a.k, 1.3*a.k, a.rng.IntN(2) == 0)
	a.barbs(10 + a.rng.IntN(30))
	a.boxes(a.rng.IntN(2))
}

func (a *artist) coast() {
	a.land(200+300*a.rng.Float64(), 0.2*a.rng.Float64())
	a.meridians((80+220*a.rng.Float64())*a.k, (1.2+a.rng.Float64())*a.k, false)
	f := a.font(22)
	for range 3 + a.rng.IntN(8) {
		a.label(f, a.place(60), areas[a.rng.IntN(len(areas))], 3*a.k)
	}
	a.boxes(a.rng.IntN(3))
}

func (a *artist) hatched() {
	land := a.land(250+300*a.rng.Float64(), 0)
	angle := [...]float64{0, math.Pi / 4, -math.Pi / 4, math.Pi / 2, math.Pi * a.rng.Float64()}[a.rng.IntN(5)]
	a.hatch(land, angle, (7+9*a.rng.Float64())*a.k, a.weight)
	a.contourLines(4+a.rng.IntN(7), a.weight, false, nil)
	a.boxes(a.rng.IntN(3))
}

func (a *artist) ice() {
	land := a.land(350, 0.15)
	a.hatch(land, math.Pi/4, 8*a.k, 1.3*a.k)
	n := noise(a.rng.Uint64())
	for i := range 3 {
		zone := func(x, y float64) float64 {
			if land(x, y) > 0 {
				return -1
			}
			return 0.25 - math.Abs(n.fractal(x/400, y/400, 4, 0.5)-0.5*float64(i-1))
		}
		a.hatch(zone, math.Pi*float64(i)/3+0.2, (14+10*float64(i))*a.k, 1.3*a.k)
	}
	f := a.font(18)
	for range 4 + a.rng.IntN(8) {
		p := a.place(40)
		a.fill(white, circle(p, 30*a.k)...)
		a.stroke(1.5*a.k, black, circle(p, 30*a.k)...)
		a.label(f, p.add(point{0, -10 * a.k}), fmt.Sprint(1+a.rng.IntN(9)), 0)
		a.label(f, p.add(point{0, 12 * a.k}), fmt.Sprint(11+a.rng.IntN(80)), 0)
	}
	a.boxes(a.rng.IntN(2))
}

func (a *artist) barbs(n int) {
	for range n {
		station(a.canvas, a.place(0), a.rng.Float64()*2*math.Pi, 5*a.rng.IntN(14), 1.6*a.k, a.k)
	}
}

func (a *artist) stations() {
	if a.rng.IntN(2) == 0 {
		a.land(300, 0.1)
	}
	f := a.font(16)
	r := a.in.Intersect(a.Rect)
	for range int(float64(r.Dx()*r.Dy()) / (a.k * a.k) / (6000 + 9000*a.rng.Float64())) {
		p := a.place(0)
		station(a.canvas, p, a.rng.Float64()*2*math.Pi, 5*a.rng.IntN(14), 1.6*a.k, a.k)
		a.label(f, p.add(point{-24 * a.k, -12 * a.k}), fmt.Sprint(a.rng.IntN(30)), a.k)
		a.label(f, p.add(point{28 * a.k, -12 * a.k}), fmt.Sprintf("%03d", a.rng.IntN(999)), a.k)
	}
	a.boxes(a.rng.IntN(3))
}

// lettering is in one to three columns with ragged right edges.
func (a *artist) lettering() {
	a.setColumns(a.in, 1+a.rng.IntN(3))
}

func (a *artist) setColumns(r image.Rectangle, columns int) {
	gap := int((4 + 26*a.rng.Float64()) * a.k)
	for i := range columns {
		x0 := r.Min.X + gap + i*(r.Dx()-gap)/columns
		x1 := r.Min.X + (i+1)*(r.Dx()-gap)/columns
		em := 17 + 16*a.rng.Float64()
		f := a.font(em)
		var words []string
		for y := float64(max(r.Min.Y, -40)) + em*1.3*a.k; y < float64(min(r.Max.Y, a.Rect.Max.Y+40))-em*0.4*a.k; y += em * 1.35 * a.k {
			line := ""
			for {
				if len(words) == 0 {
					words = strings.Fields(sentence(a.rng))
				}
				longer := strings.TrimSpace(line + " " + words[0])
				if textWidth(f, longer) > float64(x1-x0) {
					break
				}
				line, words = longer, words[1:]
			}
			if line == "" {
				break
			}
			a.text(f, float64(x0), y, line, black)
			if a.rng.IntN(7) == 0 { // a paragraph ends
				words = nil
				y += em * 0.7 * a.k
			}
		}
	}
}

func (a *artist) table() {
	em := 16 + 10*a.rng.Float64()
	f := a.font(em)
	row := em * (1.5 + a.rng.Float64()) * a.k
	pen := (1.2 + 1.5*a.rng.Float64()) * a.k
	x0, x1 := float64(a.in.Min.X), float64(a.in.Max.X)
	var rules []float64
	for x := x0; x < x1; x += (60 + 200*a.rng.Float64()) * a.k {
		rules = append(rules, x)
	}
	for y := float64(max(a.in.Min.Y, -30)) + row; y < float64(min(a.in.Max.Y, a.Rect.Max.Y+30)); y += row {
		a.stroke(pen, black, point{x0, y}, point{x1, y})
		for i, x := range rules {
			end := x1
			if i+1 < len(rules) {
				end = rules[i+1]
			}
			cell := a.within(image.Rect(int(x+4*a.k), a.Rect.Min.Y, int(end-4*a.k), a.Rect.Max.Y))
			if a.rng.IntN(6) > 0 {
				cell.text(f, x+8*a.k, y-0.3*row, fmt.Sprint(a.rng.IntN(99999)), black)
			}
		}
	}
	for _, x := range rules[1:] {
		a.stroke(pen, black, point{x, float64(a.in.Min.Y)}, point{x, float64(a.in.Max.Y)})
	}
}

// panels are charts side by side with a line between them.
func (a *artist) panels() {
	whole, clip := a.in, a.clip
	n := 2 + a.rng.IntN(2)
	for i := range n {
		a.in.Min.X, a.in.Max.X = whole.Min.X+i*whole.Dx()/n, whole.Min.X+(i+1)*whole.Dx()/n
		a.clip = clip.Intersect(a.in)
		if i > 0 {
			a.fillRect(image.Rect(a.in.Min.X, a.in.Min.Y, a.in.Min.X+int(a.weight+0.5), a.in.Max.Y), black)
			a.in.Min.X += int(a.weight + 0.5)
			a.clip = clip.Intersect(a.in)
		}
		a.land(220, 0.1)
		a.contourLines(7, a.weight, false, a.font(15))
		a.boxes(1)
	}
	a.in, a.clip = whole, clip
}

func (a *artist) waves() {
	land := a.land(300, 0.15)
	n := noise(a.rng.Uint64())
	r := a.in.Intersect(a.Rect)
	pitch := (45 + 30*a.rng.Float64()) * a.k
	f := a.font(15)
	for y := float64(r.Min.Y) + pitch/2; y < float64(r.Max.Y); y += pitch {
		for x := float64(r.Min.X) + pitch/2; x < float64(r.Max.X); x += pitch {
			if land(x/a.k, y/a.k) > 0 {
				continue
			}
			angle := 3 * n.fractal(x/a.k/500, y/a.k/500, 2, 0.5)
			dir := point{math.Cos(angle), math.Sin(angle)}
			p, q := point{x, y}.sub(dir.scale(12*a.k)), point{x, y}.add(dir.scale(12*a.k))
			a.stroke(a.weight, black, p, q)
			a.stroke(a.weight, black, q.add(polar(point{}, 8*a.k, angle+2.6)), q, q.add(polar(point{}, 8*a.k, angle-2.6)))
			if a.rng.IntN(3) == 0 {
				a.label(f, point{x + 16*a.k, y + 14*a.k}, fmt.Sprint(1+a.rng.IntN(9)), a.k)
			}
		}
	}
	a.contourLines(4+a.rng.IntN(4), a.weight*1.4, false, a.font(18))
	a.boxes(a.rng.IntN(3))
}

// sideLegend is a map beside a column with a legend, blank but for some lettering.
func (a *artist) sideLegend() {
	whole, clip := a.in, a.clip
	w := int(float64(whole.Dx()) * (0.12 + 0.15*a.rng.Float64()))
	column, sheet := whole, whole
	if a.rng.IntN(2) == 0 {
		column.Max.X = whole.Min.X + w
		sheet.Min.X = column.Max.X
	} else {
		column.Min.X = whole.Max.X - w
		sheet.Max.X = column.Min.X
	}
	if a.rng.IntN(2) == 0 { // the map has a frame of its own
		a.fillRect(sheet, black)
		sheet = sheet.Inset(int(2 * a.k))
		a.fillRect(sheet, white)
	}
	a.in, a.clip = sheet, clip.Intersect(sheet)
	a.land(280, 0.1)
	a.contourLines(8, a.weight, false, a.font(18))
	a.in, a.clip = whole, clip.Intersect(column)
	a.setColumns(column.Inset(int(12*a.k)), 1)
	a.clip = clip
}

// sky draws grey clouds; half of these pictures have a caption strip.
func (a *artist) sky() {
	r := a.clip
	if a.rng.IntN(2) == 0 {
		strip := image.Rect(r.Min.X, r.Min.Y, r.Max.X, r.Min.Y+int(44*a.k))
		if a.rng.IntN(2) == 0 {
			strip.Min.Y, strip.Max.Y = r.Max.Y-int(44*a.k), r.Max.Y
		}
		paper, ink := uint8(white), uint8(black)
		if a.rng.IntN(2) == 0 {
			paper, ink = ink, paper
		}
		a.fillRect(strip, paper)
		a.within(strip).text(a.font(26), float64(strip.Min.X)+(10+300*a.rng.Float64())*a.k, float64(strip.Min.Y)+31*a.k,
			"OSTREL TEST PICTURE  INVENTED CLOUD", ink)
		if strip.Min.Y == r.Min.Y {
			r.Min.Y = strip.Max.Y
		} else {
			r.Max.Y = strip.Min.Y
		}
	}
	cloud, warp := noise(a.rng.Uint64()), noise(a.rng.Uint64())
	size := (200 + 400*a.rng.Float64()) * a.k
	middle, contrast := 0.2+0.5*a.rng.Float64(), 0.4+0.5*a.rng.Float64()
	r = r.Intersect(a.Rect)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		row := a.Pix[a.PixOffset(0, y):]
		for x := r.Min.X; x < r.Max.X; x++ {
			u, v := float64(x)/size, float64(y)/size
			wx, wy := warp.fractal(u*0.7, v*0.7, 2, 0.5), warp.fractal(u*0.7+31, v*0.7+57, 2, 0.5)
			t := middle + contrast*cloud.fractal(u+1.1*wx, v*1.5+1.1*wy, 6, 0.55)
			row[x] = uint8(255*max(0, min(1, t)) + 0.5)
		}
	}
}

func (a *artist) satellite() { a.sky() }

func (a *artist) satelliteGrid() {
	a.sky()
	ink := uint8(white)
	if a.rng.IntN(3) == 0 {
		ink = black
	}
	n := noise(a.rng.Uint64())
	for _, line := range a.field(func(x, y float64) float64 { return n.fractal(x/400, y/400, 5, 0.5) }).contours(0.1) {
		if len(line) > 20 {
			a.stroke(a.weight, ink, line...)
		}
	}
	pitch := (100 + 250*a.rng.Float64()) * a.k
	for x := float64(a.in.Min.X) + a.rng.Float64()*pitch; x < float64(a.in.Max.X); x += pitch {
		a.stroke(1.5*a.k, ink, point{x, float64(a.in.Min.Y)}, point{x, float64(a.in.Max.Y)})
	}
	for y := float64(a.in.Min.Y) + a.rng.Float64()*pitch; y < float64(a.in.Max.Y); y += pitch {
		a.stroke(1.5*a.k, ink, point{float64(a.in.Min.X), y}, point{float64(a.in.Max.X), y})
	}
}

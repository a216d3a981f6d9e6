package survey

import (
	"cmp"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"slices"
	"time"

	"ionoscribe/internal/mode"
)

// Axes say what the axes of a picture show.
type Axes struct {
	Title string
	Start time.Time                // of the first sample
	Hz    func(hz float64) float64 // radio frequency of what is heard at hz; nil: the same
}

// Sizes of the drawing, in pixels.
const (
	leftMargin, rightMargin = 92, 100
	topMargin, bottomMargin = 40, 64
	leastWide               = 640 // of the spectrogram
	textSize, titleSize     = 14.0, 17.0
	tickLength              = 5
)

// shades are colours of rising luminance, from dark blue by grey to light yellow: an axis that those who do not tell red
// from green see as others do, and that turns to greys in the same order.
var shades = []color.RGBA{
	{10, 14, 34, 255}, {22, 36, 82, 255}, {46, 70, 122, 255}, {88, 106, 138, 255}, {136, 142, 138, 255},
	{184, 174, 122, 255}, {226, 206, 104, 255}, {252, 240, 170, 255},
}

// Colours of frames around what is of no mode; names tell kinds apart, colours help. They are, as those of the modes, light ones
// of Okabe and Ito, "Color Universal Design" (2002, revised 2008).
var (
	otherColour   = color.RGBA{220, 220, 220, 255}
	carrierColour = color.RGBA{255, 255, 255, 255}
)

// colour is that of the frames of a kind.
func (p *Picture) colour(k Kind) color.RGBA {
	if m := mode.Find(p.modes, string(k)); m != nil {
		return m.Colour
	}
	if k == Carrier {
		return carrierColour
	}
	return otherColour
}

var (
	paper = color.RGBA{255, 255, 255, 255}
	ink   = color.RGBA{25, 25, 25, 255}
	dark  = color.RGBA{8, 10, 24, 255}
)

// Image draws what was collected.
func (p *Picture) Image(a Axes) *image.RGBA {
	if a.Hz == nil {
		a.Hz = func(hz float64) float64 { return hz }
	}
	wide := p.columns
	if wide < leastWide {
		wide *= (leastWide + max(wide, 1) - 1) / max(wide, 1)
	}
	wide, high := max(wide, leastWide/2), p.rows
	in := image.Rect(leftMargin, topMargin, leftMargin+wide, topMargin+high)
	d := &drawing{p: p, in: in, axes: a, face: fontFace(textSize), marks: slices.Clone(p.marks)}
	slices.SortStableFunc(d.marks, func(x, y Finding) int { // wide ones first, so that others lie upon them
		return cmp.Compare(y.HighHz-y.LowHz, x.HighHz-x.LowHz)
	})
	names, legend := d.layOut()
	columns, lines := d.columns(legend)
	d.RGBA = image.NewRGBA(image.Rect(0, 0, in.Max.X+rightMargin, in.Max.Y+bottomMargin+lines*nameHigh))
	draw.Draw(d, d.Bounds(), image.NewUniform(paper), image.Point{}, draw.Src)
	low, high10 := d.spectrogram()
	d.scale(low, high10)
	d.time()
	d.frequency()
	big := fontFace(titleSize)
	d.write(big, in.Min.X, in.Min.Y-14, a.Title, ink)
	for _, f := range d.marks {
		d.outline(f)
	}
	for _, n := range names {
		draw.Draw(d, n.box, image.NewUniform(color.RGBA{8, 10, 24, 225}), image.Point{}, draw.Over)
		d.write(d.face, n.box.Min.X+4, n.box.Min.Y+14, n.text, d.p.colour(n.kind))
	}
	for i, text := range legend {
		d.write(d.face, in.Min.X+i/lines*(in.Dx()/columns), in.Max.Y+bottomMargin+i%lines*nameHigh+4, text, ink)
	}
	return d.RGBA
}

// spectrogram paints the cells; it returns the levels of the first and the last shade in dB.
func (d *drawing) spectrogram() (low, high float64) {
	p := d.p
	if p.columns == 0 {
		return 0, 0
	}
	level := func(column, row int) float64 {
		n := p.each
		if column == p.columns-1 {
			n = p.filled
		}
		return 10 * math.Log10(float64(p.column(column)[row])/float64(max(1, n))+1e-20)
	}
	var all []float32
	for c := 0; c < p.columns; c += 1 + p.columns/300 {
		for r := 0; r < p.rows; r += 2 {
			all = append(all, float32(level(c, r)))
		}
	}
	slices.Sort(all)
	low = float64(all[len(all)*3/10]) - 3
	high = max(float64(all[len(all)*995/1000]), low+25)
	for x := d.in.Min.X; x < d.in.Max.X; x++ {
		c := (x - d.in.Min.X) * p.columns / d.in.Dx()
		for r := range p.rows {
			d.SetRGBA(x, d.in.Max.Y-1-r, shade((level(c, r)-low)/(high-low)))
		}
	}
	return low, high
}

// shade is the colour of a share of the scale.
func shade(v float64) color.RGBA {
	v = min(max(v, 0), 1) * float64(len(shades)-1)
	i := min(int(v), len(shades)-2)
	part := v - float64(i)
	mix := func(a, b uint8) uint8 { return uint8(math.Round(float64(a) + part*(float64(b)-float64(a)))) }
	a, b := shades[i], shades[i+1]
	return color.RGBA{mix(a.R, b.R), mix(a.G, b.G), mix(a.B, b.B), 255}
}

// scale draws which shade is how strong.
func (d *drawing) scale(low, high float64) {
	const wide, tall = 14, 220
	x, bottom := d.in.Max.X+18, d.in.Min.Y+24+tall
	for y := range tall {
		for i := range wide {
			d.SetRGBA(x+i, bottom-1-y, shade(float64(y)/tall))
		}
	}
	d.write(d.face, x-4, bottom-tall-10, "dB", ink)
	for v := 0.0; v <= high-low-3; v += 10 {
		y := bottom - int((v+3)/(high-low)*tall)
		d.line(x+wide, y, x+wide+4, y, ink)
		d.write(d.face, x+wide+8, y+5, fmt.Sprintf("%.0f", v), ink)
	}
	d.write(d.face, x-4, bottom+20, "over the", ink)
	d.write(d.face, x-4, bottom+38, "noise", ink)
}

// timeSteps are the distances of marks on the axis of time, in seconds.
var timeSteps = []float64{1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 14400, 21600, 43200, 86400, 2 * 86400, 7 * 86400}

func (d *drawing) time() {
	seconds := float64(d.p.end()-d.p.base) / d.p.rate
	step := timeSteps[len(timeSteps)-1]
	for _, s := range timeSteps {
		if s*float64(d.in.Dx())/max(seconds, 1e-3) >= 90 {
			step = s
			break
		}
	}
	form := "15:04:05"
	if step >= 60 {
		form = "15:04"
	}
	begin := d.axes.Start.UTC().Add(time.Duration(float64(d.p.base) / d.p.rate * 1e9))
	step64 := time.Duration(step * 1e9)
	for t := begin.Truncate(step64); ; t = t.Add(step64) {
		off := t.Sub(begin).Seconds()
		if off > seconds {
			break
		}
		if off < 0 {
			continue
		}
		x := d.x(d.p.base + int64(off*d.p.rate))
		d.line(x, d.in.Max.Y, x, d.in.Max.Y+tickLength, ink)
		text := t.Format(form)
		d.write(d.face, x-d.width(text)/2, d.in.Max.Y+tickLength+15, text, ink)
	}
	text := "UTC, " + begin.Format("2006-01-02")
	d.write(d.face, d.in.Min.X+(d.in.Dx()-d.width(text))/2, d.in.Max.Y+tickLength+40, text, ink)
}

func (d *drawing) frequency() {
	low, high := d.axes.Hz(d.p.lowHz), d.axes.Hz(d.p.lowHz+d.p.rowHz*float64(d.p.rows))
	at := func(v float64) int { return d.in.Max.Y - 1 - int((v-low)/(high-low)*float64(d.p.rows)) }
	from, to := min(low, high), max(low, high)
	step := 1.0
	for k := 0; step/(to-from)*float64(d.p.rows) < 38; k++ {
		step *= [...]float64{2, 2.5, 2}[k%3]
	}
	unit, per, digits := "Hz", 1.0, 0
	if to >= 20000 {
		unit, per = "kHz", 1000
		digits = max(0, 3-int(math.Floor(math.Log10(step)+1e-9)))
	}
	for v := math.Ceil(from/step) * step; v <= to; v += step {
		y := at(v)
		d.line(d.in.Min.X-tickLength, y, d.in.Min.X-1, y, ink)
		text := fmt.Sprintf("%.*f", digits, v/per)
		d.write(d.face, d.in.Min.X-tickLength-4-d.width(text), y+5, text, ink)
	}
	d.write(d.face, d.in.Min.X-tickLength-4-d.width(unit), d.in.Min.Y-16, unit, ink)
}

// outline draws a frame with a dark edge, which stands out of any shade.
func (d *drawing) outline(f Finding) {
	r := d.rectangle(f)
	d.frame(r.Inset(-1), dark)
	d.frame(r.Inset(1), dark)
	d.frame(r, d.p.colour(f.Kind))
}

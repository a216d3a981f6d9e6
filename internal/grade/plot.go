package grade

import (
	"cmp"
	"fmt"
	"image/color"
	"io"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Plot is a diagram of figures against SNR.
type Plot struct {
	Title string
	Y     string // what the figures are, and their unit
	Log   bool   // a logarithmic axis, whose figures are shares and drawn in percent
	// Series are those measured, then those beside them in the same order, which take their colours, then curves.
	Series []Series
}

// Series is a line of a plot: measured values, or a curve to compare them with.
type Series struct {
	Name   string
	X      []float64
	Values []Interval                  // one for each X; NaN: there is none
	At     func(snrdB float64) float64 // instead of X and Values
	Beside bool                        // another receiver's values, to compare with: drawn as curves are
}

// The plot's size, and the dots to the inch of pictures.
const (
	plotWidth  = 7.5 * vg.Inch
	plotHeight = 4.6 * vg.Inch // without the legend
	plotDPI    = 144
	legendLine = vg.Length(15)
)

// lowest is the least share that a logarithmic axis shows.
const lowest = 1e-6

// palette is that of Okabe and Ito, "Color Universal Design" (2002, revised 2008), whose colours people with any
// kind of colour vision tell apart; without yellow, which is too faint for lines on white.
var palette = []color.RGBA{
	{0x00, 0x72, 0xb2, 0xff}, // blue
	{0xd5, 0x5e, 0x00, 0xff}, // vermilion
	{0x00, 0x9e, 0x73, 0xff}, // bluish green
	{0xcc, 0x79, 0xa7, 0xff}, // reddish purple
	{0x00, 0x00, 0x00, 0xff}, // black
	{0xe6, 0x9f, 0x00, 0xff}, // orange
	{0x56, 0xb4, 0xe9, 0xff}, // sky blue
}

// Marks of measured series and dashes of curves, so that they differ in grey too.
var (
	marks  = []draw.GlyphDrawer{draw.CircleGlyph{}, draw.BoxGlyph{}, draw.PyramidGlyph{}, draw.CrossGlyph{}, draw.PlusGlyph{}}
	hollow = []draw.GlyphDrawer{draw.RingGlyph{}, draw.SquareGlyph{}, draw.TriangleGlyph{}, draw.CrossGlyph{}, draw.PlusGlyph{}}
	dashes = [][]vg.Length{{6, 3}, {1.5, 2.5}, {9, 3, 1.5, 3}, {9, 3, 1.5, 3, 1.5, 3}, {14, 4}}
	grid   = color.Gray{0xd9}
)

// PlotFormat is the format of a file's name ("png" or "svg"), empty if it is neither.
func PlotFormat(name string) string {
	for _, format := range []string{"png", "svg"} {
		if n := len(name) - len(format) - 1; n >= 0 && name[n:] == "."+format {
			return format
		}
	}
	return ""
}

// Write draws the plot as "png" or "svg".
func (p Plot) Write(w io.Writer, format string) error {
	height := plotHeight + legendLine*vg.Length(len(p.Series))
	var canvas interface {
		vg.CanvasSizer
		io.WriterTo
	}
	switch format {
	case "png":
		canvas = vgimg.PngCanvas{Canvas: vgimg.NewWith(vgimg.UseWH(plotWidth, height), vgimg.UseDPI(plotDPI))}
	case "svg":
		canvas = vgsvg.New(plotWidth, height)
	default:
		return fmt.Errorf("a plot is png or svg, not %q", format)
	}
	p.draw(draw.New(canvas))
	_, err := canvas.WriteTo(w)
	return err
}

func (p Plot) draw(c draw.Canvas) {
	g := plot.New()
	face := func(size vg.Length) font.Font {
		return font.From(font.Font{Typeface: "Liberation", Variant: "Sans"}, size)
	}
	g.Title.Text, g.Title.TextStyle.Font, g.Title.Padding = p.Title, face(13), 10
	g.X.Label.Text, g.Y.Label.Text = "SNR in 2500 Hz, dB", p.Y
	for _, axis := range []*plot.Axis{&g.X, &g.Y} {
		axis.Label.TextStyle.Font, axis.Label.Padding = face(11), 6
		axis.Tick.Label.Font, axis.Tick.Length, axis.Padding = face(10), 4, 0
	}
	legend := plot.NewLegend()
	legend.TextStyle.Font, legend.ThumbnailWidth, legend.Padding = face(10), 34, 2
	legend.Left, legend.Top = true, true
	legend.XOffs = 50

	p.scale(g)
	lines := plotter.NewGrid()
	lines.Horizontal.Color, lines.Vertical.Color = grid, grid
	g.Add(lines)
	measured, beside, curves := 0, 0, 0
	for _, s := range p.Series {
		l := &line{Series: s, y: p.height}
		hue := measured
		switch {
		case s.At != nil:
			hue = measured + curves
			l.style.Dashes = dashes[(beside+curves)%len(dashes)]
			curves++
		case s.Beside:
			hue = beside
			l.style.Dashes = dashes[beside%len(dashes)]
			beside++
		default:
			l.mark, l.hollow = marks[measured%len(marks)], hollow[measured%len(hollow)]
			l.shift = intervalShift * vg.Length(measured)
			measured++
		}
		l.style.Color, l.style.Width = palette[hue%len(palette)], 1.4
		g.Add(l)
		legend.Add(s.Name, l)
	}
	const margin = 12
	c = draw.Crop(c, margin, -margin, margin, -margin)
	below := legendLine * vg.Length(len(p.Series))
	g.Draw(draw.Crop(c, 0, 0, below+margin, 0))
	legend.Draw(draw.Crop(c, 0, 0, 0, below-c.Max.Y+c.Min.Y))
}

// scale sets both axes so that all values are seen and, of their intervals, what does not press them together.
func (p Plot) scale(g *plot.Plot) {
	top, least := 0.0, math.Inf(1)
	for _, s := range p.Series {
		for i, x := range s.X {
			g.X.Min, g.X.Max = math.Min(g.X.Min, x), math.Max(g.X.Max, x)
			v := s.Values[i]
			if math.IsNaN(v.Value) {
				continue
			}
			top = math.Max(top, math.Max(v.Value, math.Min(v.High, 1.25*v.Value)))
			if v.Value > 0 {
				least = math.Min(least, v.Value)
			} else if v.High > 0 {
				least = math.Min(least, v.High)
			}
		}
	}
	if g.X.Min > g.X.Max {
		g.X.Min, g.X.Max = 0, 0
	}
	g.X.Min, g.X.Max = g.X.Min-0.5, g.X.Max+0.5
	g.X.Tick.Marker = plot.TickerFunc(wholeTicks)
	if !p.Log {
		if top == 0 {
			top = 1
		}
		g.Y.Min, g.Y.Max = 0, 1.05*top
		return
	}
	// Whole decades up to all characters, one at least.
	decades := math.Floor(math.Log10(math.Min(0.1, math.Max(lowest, 0.8*least))))
	g.Y.Min, g.Y.Max = decades, 0
	g.Y.Tick.Marker = plot.TickerFunc(func(low, high float64) (ticks []plot.Tick) {
		for d := decades; d <= 0; d++ {
			ticks = append(ticks, plot.Tick{Value: d, Label: fmt.Sprintf("%.4g", 100*math.Pow(10, d))})
			for k := 2.0; k < 10 && d < 0; k++ {
				ticks = append(ticks, plot.Tick{Value: d + math.Log10(k)})
			}
		}
		return ticks
	})
}

// wholeTicks labels an axis at multiples of 1, 2, 5, 10, 20 ..., at ten at most.
func wholeTicks(low, high float64) (ticks []plot.Tick) {
	step := 1.0
	for k := 0; (high-low)/step > 10; k++ {
		step *= [...]float64{2, 2.5, 2}[k%3]
	}
	for v := math.Ceil(low/step) * step; v <= high; v += step {
		ticks = append(ticks, plot.Tick{Value: v, Label: fmt.Sprintf("%g", v+0)}) // -0 becomes 0
	}
	return ticks
}

// height is where a value stands on the axis; none is too far below to be clipped well.
func (p Plot) height(v float64) float64 {
	if !p.Log {
		return v
	}
	return math.Log10(math.Max(v, lowest/10))
}

// line draws a series.
type line struct {
	Series
	y            func(float64) float64 // height on the axis
	shift        vg.Length             // to the right, so that intervals stand side by side
	style        draw.LineStyle
	mark, hollow draw.GlyphDrawer // nil: no marks
}

const (
	curveSteps    = 200
	markRadius    = 3
	capWidth      = 5
	intervalShift = 3
)

// Plot implements plot.Plotter.
func (l *line) Plot(c draw.Canvas, p *plot.Plot) {
	trX, trY := p.Transforms(&c)
	y := func(v float64) vg.Length { return trY(l.y(v)) }
	var path []vg.Point
	if l.At != nil {
		for i := 0; i <= curveSteps; i++ {
			x := p.X.Min + (p.X.Max-p.X.Min)*float64(i)/curveSteps
			path = append(path, vg.Point{X: trX(x), Y: y(l.At(x))})
		}
		c.StrokeLines(l.style, c.ClipLinesXY(path)...)
		return
	}
	order := make([]int, 0, len(l.X)) // of the values that there are, from left to right
	for i := range l.X {
		if !math.IsNaN(l.Values[i].Value) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(l.X[i], l.X[j]) })
	solid := draw.LineStyle{Color: l.style.Color, Width: 1}
	for _, i := range order {
		x, v := trX(l.X[i])+l.shift, l.Values[i]
		at, mark := vg.Point{X: x, Y: y(v.Value)}, l.mark
		if v.Value <= 0 && l.y(v.Value) < p.Y.Min { // off a logarithmic axis: only the upper bound is known
			at.Y, mark = y(v.High), l.hollow
		} else {
			path = append(path, at)
		}
		if l.mark == nil {
			continue
		}
		if v.Low < v.High {
			low, high := y(v.Low), y(v.High)
			c.StrokeLines(solid, c.ClipLinesY([]vg.Point{{X: x, Y: low}, {X: x, Y: high}})...)
			for _, end := range []vg.Length{low, high} {
				if c.ContainsY(end) {
					c.StrokeLine2(solid, x-capWidth/2, end, x+capWidth/2, end)
				}
			}
		}
		c.DrawGlyph(draw.GlyphStyle{Color: l.style.Color, Radius: markRadius, Shape: mark}, at)
	}
	c.StrokeLines(l.style, c.ClipLinesXY(path)...)
}

// Thumbnail implements plot.Thumbnailer.
func (l *line) Thumbnail(c *draw.Canvas) {
	at := c.Center()
	c.StrokeLine2(l.style, c.Min.X, at.Y, c.Max.X, at.Y)
	if l.mark != nil {
		c.DrawGlyph(draw.GlyphStyle{Color: l.style.Color, Radius: markRadius, Shape: l.mark}, at)
	}
}

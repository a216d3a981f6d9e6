package web

import (
	"image"
	"math"
	"net/http"

	"golang.org/x/image/draw"

	"ionoscribe/fax"
	"ionoscribe/internal/access"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/chartfile"
)

func (s *Server) previewRoutes() []route {
	return []route{
		{"GET", "/api/charts/{chart}/original", access.Look, s.original},
		{"GET", "/api/charts/{chart}/histogram", access.Look, s.histogram},
		{"GET", "/api/charts/{chart}/preview", access.Look, s.preview},
	}
}

// Bounds of a preview.
const (
	leastScale  = 0.05
	mostPreview = 8 << 20 // pixels: a screen of 4K
)

var changeNames = []string{"shift", "clock_ppm", "lpm", "ioc", "invert", "black", "white", "plain", "deviation_hz", "tuning_hz"}

// changes are those that a query asks for.
func (q *query) changes() chartfile.Changes {
	return chartfile.Changes{
		Shift: q.number("shift"), ClockPPM: q.optional("clock_ppm"), LPM: q.number("lpm"), IOC: int(min(q.integer("ioc"), math.MaxInt32)), Invert: q.yes("invert"),
		Black: q.optional("black"), White: q.optional("white"), Plain: q.yes("plain"), DeviationHz: q.number("deviation_hz"), TuningHz: q.optional("tuning_hz"),
	}
}

// optional is nil if it is not given.
func (q *query) optional(name string) *float64 {
	if q.text(name) == "" {
		return nil
	}
	x := q.number(name)
	return &x
}

// videoOf is the video of a chart.
func (s *Server) videoOf(r *http.Request, c archive.Chart) (*video, error) {
	if c.Video == "" {
		return nil, notFound("the video of chart %d is not kept, from which it could be drawn again", c.ID)
	}
	return s.videos.get(r.Context(), c.Video)
}

// changed is how a chart is drawn with some changes.
func (k *video) changed(ch chartfile.Changes) (fax.Drawing, chartfile.Info, error) {
	if ch.IOC != 0 && ch.IOC != 288 && ch.IOC != 576 {
		return fax.Drawing{}, chartfile.Info{}, badRequest("ioc = %d is neither 288 nor 576", ch.IOC)
	}
	d, info, err := k.chart.Changed(ch)
	if err != nil {
		return d, info, badRequest("the chart cannot be drawn so: %v", err)
	}
	return d, info, nil
}

// original draws a version as it is, but without restoration.
func (s *Server) original(w http.ResponseWriter, r *http.Request) (any, error) {
	k, d, err := s.plainVersion(r)
	if err != nil {
		return nil, err
	}
	whole := image.Rect(0, 0, d.Columns, d.Rows)
	unchanging(w)
	return nil, writePNG(w, k.track.Draw(d, whole, whole.Max))
}

// histogram counts the pixels of each brightness in a version without restoration, and before levels are stretched.
func (s *Server) histogram(w http.ResponseWriter, r *http.Request) (any, error) {
	k, d, err := s.plainVersion(r)
	if err != nil {
		return nil, err
	}
	d.Black, d.White = 0, 1
	whole := image.Rect(0, 0, d.Columns, d.Rows)
	var answer struct {
		Counts [256]int `json:"counts"`
	}
	for _, v := range k.track.Draw(d, whole, whole.Max).Pix {
		answer.Counts[v]++
	}
	unchanging(w)
	return answer, nil
}

// plainVersion is the drawing of the version that is asked for, without restoration.
func (s *Server) plainVersion(r *http.Request) (*video, fax.Drawing, error) {
	if err := queryOf(r).err; err != nil {
		return nil, fax.Drawing{}, err
	}
	c, err := s.chartAsked(r)
	if err != nil {
		return nil, fax.Drawing{}, err
	}
	k, err := s.videoOf(r, c)
	if err != nil {
		return nil, fax.Drawing{}, err
	}
	d, _, err := k.changed(c.Changes)
	return k, d, err
}

func (s *Server) preview(w http.ResponseWriter, r *http.Request) (any, error) {
	q := queryOf(r, append([]string{"x", "y", "width", "height", "scale", "restored"}, changeNames...)...)
	ch, restored, scale := q.changes(), q.yes("restored"), q.number("scale")
	if scale == 0 {
		scale = 1
	}
	if scale < leastScale || scale > 1 {
		q.wrong(badRequest("scale = %v is not between %v and 1", scale, leastScale))
	}
	area := q.area()
	if q.err != nil {
		return nil, q.err
	}
	c, err := s.chartAsked(r)
	if err != nil {
		return nil, err
	}
	k, err := s.videoOf(r, c)
	if err != nil {
		return nil, err
	}
	d, _, err := k.changed(ch)
	if err != nil {
		return nil, err
	}
	part := area(image.Rect(0, 0, d.Columns, d.Rows))
	if part.Empty() {
		return nil, badRequest("nothing of the chart is there: it has %d × %d pixels", d.Columns, d.Rows)
	}
	size := image.Pt(max(1, int(math.Round(float64(part.Dx())*scale))), max(1, int(math.Round(float64(part.Dy())*scale))))
	if size.X*size.Y > mostPreview {
		return nil, badRequest("the preview would have %d × %d pixels; ask for a part, or at a smaller scale", size.X, size.Y)
	}
	w.Header().Set("Cache-Control", "no-store")
	if !restored || d.Plain {
		return nil, writePNG(w, k.track.Draw(d, part, size))
	}
	m, err := s.restored(r.Context(), k, ch)
	if err != nil {
		return nil, err
	}
	to := image.NewGray(image.Rectangle{Max: size})
	draw.BiLinear.Scale(to, to.Rect, m.Image, part, draw.Src, nil)
	return nil, writePNG(w, to)
}

// area is the part of a picture that a query asks for: the whole, if it says nothing.
func (q *query) area() func(whole image.Rectangle) image.Rectangle {
	const most = 1 << 20 // pixels of a side: more than any chart has
	var sides [4]int
	for i, name := range []string{"x", "y", "width", "height"} {
		sides[i] = int(min(q.integer(name), most))
		if sides[i] == 0 && i >= 2 {
			sides[i] = most
		}
	}
	return func(whole image.Rectangle) image.Rectangle {
		return image.Rect(sides[0], sides[1], sides[0]+sides[2], sides[1]+sides[3]).Intersect(whole)
	}
}

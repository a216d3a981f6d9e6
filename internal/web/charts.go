package web

import (
	"errors"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"
	"time"

	"ionoscribe/fax"
	"ionoscribe/internal/access"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/chartfile"
)

func (s *Server) chartRoutes() []route {
	return []route{
		{"GET", "/api/charts", access.Look, s.charts},
		{"GET", "/api/charts/titles", access.Look, s.chartTitles},
		{"GET", "/api/charts/{chart}", access.Look, s.chart},
	}
}

// chart is one as lists tell of it.
type chart struct {
	Chart        int64      `json:"chart"`
	Transmission archive.ID `json:"transmission"`
	Title        string     `json:"title"`
	Begin        string     `json:"begin_utc"`
	End          string     `json:"end_utc"`
	Receiver     string     `json:"receiver"`
	Hz           float64    `json:"hz"`
	OnAir        bool       `json:"on_air"`
	Quality      float64    `json:"quality"`
	Rating       int        `json:"rating"`
	Favourite    bool       `json:"favourite"`
	Width        int        `json:"width"`
	Height       int        `json:"height"`
	LPM          float64    `json:"lpm"`
	IOC          int        `json:"ioc"`
	SNR          float64    `json:"snr_db"`
	Versions     int        `json:"versions"`
}

func chartOf(c archive.Listed) chart {
	tenths := func(x float64) float64 { return math.Round(x*10) / 10 }
	return chart{
		Chart: c.Chart, Transmission: c.Transmission, Title: c.Title, Begin: stamp(c.Begun), End: stamp(c.Ended), Receiver: c.Receiver,
		Hz: tenths(c.Hz), OnAir: c.OnAir, Quality: math.Round(c.Quality*1000) / 1000, Rating: c.Rating, Favourite: c.Favourite,
		Width: fax.Columns(c.IOC), Height: c.Lines, LPM: c.LPM, IOC: c.IOC, SNR: tenths(c.SNR), Versions: c.Versions,
	}
}

var chartFilters = []string{"title", "receiver", "from_utc", "to_utc", "least_quality", "least_rating", "favourites"}

// chartQuery is the list that a request asks for. A title that is given and empty asks for charts without one.
func chartQuery(q *query) archive.ChartQuery {
	c := archive.ChartQuery{Receiver: q.text("receiver"), From: q.time("from_utc"), To: q.time("to_utc"), LeastQuality: q.number("least_quality"),
		LeastRating: q.rating("least_rating"), Favourites: q.yes("favourites")}
	if q.values.Has("title") {
		title := q.text("title")
		c.Title = &title
	}
	return c
}

// cursor is a place in a list of charts as addresses have it.
func cursor(k archive.ChartKey) string { return fmt.Sprintf("%d-%d", k.Begun.UnixMilli(), k.Chart) }

func (q *query) cursor(name string) (k archive.ChartKey) {
	v := q.text(name)
	if v == "" {
		return k
	}
	i := strings.LastIndexByte(v, '-')
	begun, err := strconv.ParseInt(v[:max(i, 0)], 10, 64)
	id, err2 := strconv.ParseInt(v[i+1:], 10, 64)
	if errors.Join(err, err2) != nil || id <= 0 {
		q.wrong(badRequest("%s = %q is not what \"next\" of the page before was", name, v))
	}
	return archive.ChartKey{Begun: time.UnixMilli(begun), Chart: id}
}

func (s *Server) charts(_ http.ResponseWriter, r *http.Request) (any, error) {
	q := queryOf(r, append([]string{"before", "limit"}, chartFilters...)...)
	c := chartQuery(q)
	c.Before, c.Limit = q.cursor("before"), q.limit(mostListed)
	if q.err != nil {
		return nil, q.err
	}
	ctx, cancel := inTime(r)
	defer cancel()
	listed, err := s.Archive.Charts(ctx, c)
	if err != nil {
		return nil, fromArchive(err)
	}
	answer := struct {
		Charts []chart `json:"charts"`
		Next   string  `json:"next,omitempty"`
		Total  *int    `json:"total,omitempty"` // with the first page
	}{Charts: []chart{}}
	for _, l := range listed {
		answer.Charts = append(answer.Charts, chartOf(l))
	}
	if len(listed) == c.Limit {
		answer.Next = cursor(listed[len(listed)-1].ChartKey)
	}
	if c.Before.Chart == 0 {
		n, err := s.Archive.CountCharts(ctx, c)
		if err != nil {
			return nil, fromArchive(err)
		}
		answer.Total = &n
	}
	return answer, nil
}

func (s *Server) chartTitles(_ http.ResponseWriter, r *http.Request) (any, error) {
	q := queryOf(r, chartFilters...)
	c := chartQuery(q)
	if q.err != nil {
		return nil, q.err
	}
	ctx, cancel := inTime(r)
	defer cancel()
	titles, err := s.Archive.Titles(ctx, c)
	if err != nil {
		return nil, fromArchive(err)
	}
	type titled struct {
		Title  string `json:"title"`
		Charts int    `json:"charts"`
		Latest chart  `json:"latest"`
	}
	answer := struct {
		Titles []titled `json:"titles"`
	}{[]titled{}}
	for _, t := range titles {
		answer.Titles = append(answer.Titles, titled{t.Title, t.Charts, chartOf(t.Latest)})
	}
	return answer, nil
}

// version is one of a chart.
type version struct {
	Chart   int64             `json:"chart"`
	Made    string            `json:"made_utc"`
	Changes chartfile.Changes `json:"changes"`
	Latest  bool              `json:"latest"`
}

// wholeChart is all that is known of a chart.
type wholeChart struct {
	chart
	Info         chartfile.Info    `json:"info"`
	LineQuality  []int             `json:"line_quality"`
	Notes        string            `json:"notes"`
	CanRedraw    bool              `json:"can_redraw"`
	Changes      chartfile.Changes `json:"changes"`
	VersionList  []version         `json:"version_list"`
	Previous     int64             `json:"previous,omitempty"`
	Following    int64             `json:"following,omitempty"`
	PictureBytes int64             `json:"picture_bytes"`
}

func (s *Server) chart(_ http.ResponseWriter, r *http.Request) (any, error) {
	id, err := numberIn(r, "chart")
	if err = errors.Join(err, queryOf(r).err); err != nil {
		return nil, err
	}
	return s.wholeChart(r, id)
}

func (s *Server) wholeChart(r *http.Request, id int64) (*wholeChart, error) {
	ctx, cancel := inTime(r)
	defer cancel()
	listed, err := s.Archive.ListedChart(ctx, id)
	if err != nil {
		return nil, fromArchive(err)
	}
	versions, err := s.Archive.Versions(ctx, id)
	if err != nil {
		return nil, fromArchive(err)
	}
	record, err := s.Archive.Part(ctx, listed.Transmission, 0, 0)
	if errors.Is(err, archive.ErrNone) { // which Check tells of
		record, err = &archive.Record{}, nil
	}
	if err != nil {
		return nil, fromArchive(err)
	}
	c := &wholeChart{chart: chartOf(listed), Notes: record.Notes}
	if c.Previous, c.Following, err = s.Archive.Neighbours(ctx, id); err != nil {
		return nil, fromArchive(err)
	}
	for _, v := range versions {
		made := v.Made
		if made.IsZero() {
			made = v.Info.End
		}
		c.VersionList = append(c.VersionList, version{v.ID, stamp(made), v.Changes, v.Latest})
		if v.ID == id {
			c.Info, c.Changes, c.CanRedraw, c.PictureBytes = v.Info, v.Changes, v.Video != "", v.PictureBytes
		}
	}
	c.LineQuality = make([]int, len(c.Info.Quality))
	for i, q := range c.Info.Quality {
		c.LineQuality[i] = int(math.Round(255 * min(max(float64(q), 0), 1)))
	}
	return c, nil
}

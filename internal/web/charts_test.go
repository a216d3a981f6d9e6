package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"ionoscribe/internal/archive"
)

type chartList struct {
	Charts []chart `json:"charts"`
	Next   string  `json:"next"`
	Total  int     `json:"total"`
}

func (l *chartList) ids() (all []int64) {
	for _, c := range l.Charts {
		all = append(all, c.Chart)
	}
	return all
}

func TestCharts(t *testing.T) {
	d := newDesk(t)
	for i := range 6 {
		d.saveChart([]string{"Surface analysis", "Ice", ""}[i%3], dayNoon.Add(time.Duration(i)*time.Hour), []float32{0.2, 0.9}[i%2])
	}
	three := 3
	must(t, d.Note(t.Context(), archive.ID(2), archive.Note{Rating: &three}))
	for path, want := range map[string][]int64{
		"":                  {6, 5, 4, 3, 2, 1},
		"title=Ice":         {5, 2},
		"title=":            {6, 3},
		"least_quality=0.5": {6, 4, 2},
		"least_rating=3":    {2},
		"receiver=south":    nil,
		"favourites=true":   nil,
		"to_utc=2031-05-04T13:30:00Z&from_utc=2031-05-04T12:30:00Z": {2},
	} {
		var l chartList
		d.get("/api/charts?"+path, &l)
		if got := l.ids(); !slices.Equal(got, want) || l.Total != len(want) {
			t.Errorf("%s: %v, %d in all, want %v", path, got, l.Total, want)
		}
	}
	var l chartList
	d.get("/api/charts?limit=4", &l)
	c := l.Charts[3]
	if c.Chart != 3 || c.Begin != "2031-05-04T14:00:00.000Z" || c.Width != 1810 || c.Height != chartLines || c.LPM != 120 || c.IOC != 576 || c.Versions != 1 || c.Hz != 7878100 || !c.OnAir ||
		c.Receiver != "north" || c.Transmission != 3 || c.Quality != 0.2 {
		t.Errorf("%+v", c)
	}
	next := l.Next
	d.get("/api/charts?limit=4&before="+next, &l)
	if got := l.ids(); !slices.Equal(got, []int64{2, 1}) {
		t.Errorf("second page: %v", got)
	}
	var titles struct {
		Titles []struct {
			Title  string
			Charts int
			Latest chart
		}
	}
	d.get("/api/charts/titles", &titles)
	var got []string
	for _, x := range titles.Titles {
		got = append(got, fmt.Sprint(x.Title, " ", x.Charts, " ", x.Latest.Chart))
	}
	if want := []string{" 2 6", "Ice 2 5", "Surface analysis 2 4"}; !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
	for path, says := range map[string]string{"before=x": `"next"`, "before=1-0": `"next"`, "before=-5": `"next"`, "limit=x": "limit", "words=x": `"words"`} {
		d.refused(d.send("GET", "/api/charts?"+path, nil), http.StatusBadRequest, says)
	}
}

func TestChart(t *testing.T) {
	d := newDesk(t)
	for i := range 3 {
		d.saveChart("Ice", dayNoon.Add(time.Duration(i)*time.Hour), 0.5)
	}
	var c wholeChart
	d.get("/api/charts/2", &c)
	if c.Previous != 1 || c.Following != 3 || !c.CanRedraw || len(c.VersionList) != 1 || !c.VersionList[0].Latest || c.VersionList[0].Made != "2031-05-04T13:00:30.000Z" ||
		len(c.LineQuality) != chartLines || c.LineQuality[7] != 128 || len(c.Info.Quality) != chartLines || c.PictureBytes < 100 {
		t.Errorf("%+v", c)
	}
	if body := d.send("GET", "/api/charts/2", nil).Body.String(); !strings.Contains(body, `"quality":"`+strings.Repeat("80", chartLines)+`"`) || !strings.Contains(body, `"changes":{}`) {
		t.Error(body)
	}
	d.refused(d.send("GET", "/api/charts/9", nil), http.StatusNotFound, "no such")
	d.refused(d.send("GET", "/api/charts/2?x=1", nil), http.StatusBadRequest, `"x"`)
}

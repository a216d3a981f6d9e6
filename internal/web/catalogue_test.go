package web

import (
	"context"
	"encoding/json"
	"image"
	"log/slog"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
	"time"

	"ionoscribe/fax"
	"ionoscribe/internal/access"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/chartfile"
)

// dayNoon is when what tests of the catalogue invent begins.
var dayNoon = time.Date(2031, 5, 4, 12, 0, 0, 0, time.UTC)

// desk is a server with an archive, which a test asks as the computer's own user does.
type desk struct {
	testing.TB
	*archive.Archive
	*Server
	dir string
}

func newDesk(t testing.TB) *desk {
	t.Helper()
	dir := t.TempDir()
	a, err := archive.Open(dir, archive.Options{Now: func() time.Time { return dayNoon.Add(12 * time.Hour) }})
	must(t, err)
	t.Cleanup(func() { a.Close() })
	s := New(Config{Folder: dir, Archive: a, Access: access.Config{Listen: "127.0.0.1:8073"}, Log: slog.New(slog.DiscardHandler)})
	s.clock = func() time.Time { return dayNoon.Add(6 * time.Hour) }
	return &desk{t, a, s, dir}
}

// send sends a request, with a body as JSON if it is not nil.
func (d *desk) send(method, path string, body any) *httptest.ResponseRecorder {
	d.Helper()
	if body == nil {
		return d.sendText(method, path, "")
	}
	text, err := json.Marshal(body)
	must(d, err)
	return d.sendText(method, path, string(text))
}

func (d *desk) sendText(method, path, body string) *httptest.ResponseRecorder {
	return ask(d.Server, request(method, path, "", body))
}

// get reads what a path answers into v, which must be all that it has.
func (d *desk) get(path string, v any) {
	d.Helper()
	d.read(d.send("GET", path, nil), http.StatusOK, v)
}

func (d *desk) read(w *httptest.ResponseRecorder, status int, v any) {
	d.Helper()
	if w.Code != status {
		d.Fatalf("status %d: %s", w.Code, w.Body)
	}
	must(d, json.Unmarshal(w.Body.Bytes(), v))
}

// refused wants a problem of a status that says something.
func (d *desk) refused(w *httptest.ResponseRecorder, status int, says string) {
	d.Helper()
	var p problem
	if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil || w.Code != status || p.Status != status || !strings.Contains(p.Detail, says) {
		d.Errorf("status %d, want %d: %s", w.Code, status, w.Body)
	}
}

// flush waits until all that was told is in the database.
func (d *desk) flush() { must(d, d.Archive.Flush(context.Background())) }

// hear tells of a text; characters between ⌊ and ⌋ are doubtful.
func (d *desk) hear(receiver string, hz float64, begun time.Time, text string) archive.ID {
	id := d.Begin(archive.Transmission{Receiver: receiver, Source: "sound card", Mode: "rtty", Settings: "50 Bd, shift 450 Hz", OnAir: true, Hz: hz, Begun: begun, SNR: 12, Copied: true})
	at, confidence := begun, 0.97
	for _, r := range text {
		switch r {
		case '⌊':
			confidence = 0.3
		case '⌋':
			confidence = 0.97
		default:
			d.Text(id, archive.Char{At: at, Text: string(r), Confidence: confidence})
			at = at.Add(100 * time.Millisecond)
		}
	}
	d.SNR(id, at, 12)
	d.End(id, at)
	return id
}

// Geometry of the charts of tests: a white bar at pixels 600 to 800 of each line.
const (
	barFrom, barTo = 600, 800
	chartLines     = 60
	linePeriod     = 1800 // video samples
)

// saveChart saves a chart with its video and tells of it. It returns its number.
func (d *desk) saveChart(title string, begun time.Time, quality float32) int64 {
	return d.saveChartOf(chartLines, title, begun, quality)
}

func (d *desk) saveChartOf(lines int, title string, begun time.Time, quality float32) int64 {
	d.Helper()
	c := &chartfile.Chart{
		Info: chartfile.Info{Start: begun, End: begun.Add(time.Duration(lines) * time.Second / 2), TimeFrom: "the system's clock", Source: "north", Hz: 7878100, IOC: 576, LPM: 120,
			Lines: lines, Began: "start tone", Ended: "stop tone"},
		Drawing: fax.Drawing{Period: linePeriod, Columns: fax.Columns(576), Rows: lines, DeviationHz: 400, White: 1},
		Video:   barVideo(lines),
	}
	for range lines {
		c.Quality = append(c.Quality, quality)
	}
	c.Image = image.NewGray(image.Rect(0, 0, c.Drawing.Columns, lines))
	for i := range c.Image.Pix {
		if x := i % c.Image.Stride; x >= barFrom && x < barTo {
			c.Image.Pix[i] = 255
		}
	}
	picture, video, err := chartfile.Save(d.Folder(begun), c, nil)
	must(d, err)
	id := d.Begin(archive.Transmission{Receiver: "north", Source: "sound card", Mode: "fax", Settings: "IOC 576, 120 lines/min", OnAir: true, Hz: 7878100, Begun: begun, SNR: 20, Copied: true, Title: title})
	number := d.Archive.Chart(id, archive.Chart{Picture: picture, Video: video, Info: c.Info, Image: c.Image})
	d.End(id, c.End)
	d.flush()
	return number
}

// barVideo is clean video of a white bar on black.
func barVideo(lines int) *fax.Video {
	v := new(fax.Video)
	phase := 0.0
	line := make([]complex64, linePeriod)
	for range lines + 1 {
		for i := range line {
			hz := -400.0
			if x := float64(i) / linePeriod * float64(fax.Columns(576)); x >= barFrom && x < barTo {
				hz = 400
			}
			phase += 2 * math.Pi * hz / fax.VideoRate
			line[i] = complex(float32(math.Cos(phase)), float32(math.Sin(phase)))
		}
		v.Append(line)
	}
	return v
}

// leave removes a file of the station.
func (d *desk) leave(name string) { must(d, os.Remove(d.dir+"/"+name)) }

package web

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/png"
	"math"
	"net/http"
	"net/url"
	"os"
	"slices"
	"testing"
	"time"

	"ionoscribe/internal/archive"
	"ionoscribe/internal/chartfile"
)

// png reads a picture that a path answers.
func (d *desk) png(path string) *image.Gray {
	d.Helper()
	w := d.send("GET", path, nil)
	if w.Code != http.StatusOK {
		d.Fatalf("%s: status %d: %s", path, w.Code, w.Body)
	}
	m, err := png.Decode(bytes.NewReader(w.Body.Bytes()))
	must(d, err)
	return m.(*image.Gray)
}

// bar is where the white bar begins and ends in a row.
func bar(m *image.Gray, row int) (from, to int) {
	from = -1
	for x, v := range m.Pix[row*m.Stride:][:m.Rect.Dx()] {
		if v >= 128 {
			if from < 0 {
				from = x
			}
			to = x + 1
		}
	}
	return from, to
}

// near fails if bars differ by more than a pixel.
func near(t testing.TB, what string, m *image.Gray, row, from, to int) {
	t.Helper()
	if a, b := bar(m, row); math.Abs(float64(a-from)) > 1 || math.Abs(float64(b-to)) > 1 {
		t.Errorf("%s: row %d has its bar from %d to %d, want %d to %d", what, row, a, b, from, to)
	}
}

func TestPreview(t *testing.T) {
	d := newDesk(t)
	d.saveChart("Ice", dayNoon, 0.5)
	const path = "/api/charts/1/preview?"
	m := d.png(path)
	if m.Rect.Dx() != 1810 || m.Rect.Dy() != chartLines {
		t.Fatal(m.Rect)
	}
	near(t, "whole", m, 30, barFrom, barTo)
	near(t, "shift", d.png(path+"shift=150"), 30, barFrom-150, barTo-150)
	near(t, "lean", d.png(path+"clock_ppm=1000"), 59, barFrom-107, barTo-107) // 59 lines · 1810 · 0.001
	near(t, "half the columns", d.png(path+"ioc=288"), 30, barFrom/2, barTo/2)
	near(t, "smaller", d.png(path+"scale=0.1"), 3, barFrom/10, barTo/10)
	near(t, "part", d.png(path+"x=500&y=10&width=400&height=20"), 10, barFrom-500, barTo-500)
	near(t, "restored", d.png(path+"restored=true&shift=150&scale=0.5"), 15, (barFrom-150)/2, (barTo-150)/2)
	m = d.png(path + "invert=true&x=590&width=220")
	if m.Pix[5] < 250 || m.Pix[100] > 5 {
		t.Errorf("inverted: a bar of %d on %d", m.Pix[100], m.Pix[5])
	}
	if m = d.png(path + "black=-1"); m.Pix[100] < 120 || m.Pix[100] > 135 {
		t.Errorf("levels: %d", m.Pix[100])
	}
	for query, says := range map[string]string{
		"scale=0.01":         "between 0.05 and 1",
		"scale=2":            "between 0.05 and 1",
		"x=1810":             "1810 × 60 pixels",
		"lpm=7":              "cannot be drawn",
		"ioc=577":            "288 nor 576",
		"shift=1e300":        "cannot be drawn",
		"clock_ppm=-1000000": "cannot be drawn",
		"black=1":            "same brightness",
		"deviation_hz=-5":    "cannot be drawn",
		"tuning_hz=NaN":      "no number",
	} {
		d.refused(d.send("GET", path+query, nil), http.StatusBadRequest, says)
	}
	d.refused(d.send("GET", "/api/charts/2/preview", nil), http.StatusNotFound, "no such")
}

func TestOriginal(t *testing.T) {
	d := newDesk(t)
	d.saveChart("Ice", dayNoon, 0.5)
	near(t, "original", d.png("/api/charts/1/original"), 30, barFrom, barTo)
	var h struct{ Counts []int }
	d.get("/api/charts/1/histogram", &h)
	if len(h.Counts) != 256 {
		t.Fatal(len(h.Counts))
	}
	count := func(from, to int) (sum int) {
		for _, n := range h.Counts[from:to] {
			sum += n
		}
		return sum
	}
	bar := (barTo - barFrom) * chartLines
	if all := count(0, 256); all != 1810*chartLines || count(250, 256) < bar*9/10 || count(0, 6) < (all-bar)*9/10 {
		t.Errorf("%v", h.Counts)
	}
	// Of a chart whose video is not kept any more there is the picture alone.
	_, err := d.Keep(t.Context(), archive.Rules{Videos: archive.Limit{Bytes: 1}})
	must(t, err)
	for _, which := range []string{"original", "histogram", "preview"} {
		d.refused(d.send("GET", "/api/charts/1/"+which, nil), http.StatusNotFound, "video of chart 1 is not kept")
	}
	var c wholeChart
	d.get("/api/charts/1", &c)
	if c.CanRedraw {
		t.Error("it cannot be drawn again")
	}
}

// What is saved is what its preview showed, and earlier versions stay.
func TestRedraw(t *testing.T) {
	d := newDesk(t)
	d.saveChart("Ice", dayNoon, 0.5)
	ppm := 500.0
	for name, ch := range map[string]chartfile.Changes{
		"shift and lean": {Shift: 100, ClockPPM: &ppm},
		"other form":     {IOC: 288, LPM: 60},
		"plain":          {Plain: true, Invert: true},
	} {
		var c chart
		w := d.send("POST", "/api/charts/1/versions", map[string]any{"changes": ch})
		d.read(w, http.StatusCreated, &c)
		if w.Header().Get("Location") != fmt.Sprintf("/api/charts/%d", c.Chart) {
			t.Error(w.Header())
		}
		q := url.Values{}
		if ch.Shift != 0 {
			q.Set("shift", "100")
			q.Set("clock_ppm", "500")
		}
		if ch.IOC != 0 {
			q.Set("ioc", "288")
			q.Set("lpm", "60")
		}
		if ch.Invert {
			q.Set("invert", "true")
		}
		preview, saved := d.png("/api/charts/1/preview?"+q.Encode()), d.png(fmt.Sprintf("/api/charts/%d/picture", c.Chart))
		if preview.Rect != saved.Rect || c.Width != saved.Rect.Dx() || c.Height != saved.Rect.Dy() {
			t.Errorf("%s: %v and %v, told %d × %d", name, preview.Rect, saved.Rect, c.Width, c.Height)
		}
		for _, row := range []int{1, saved.Rect.Dy() - 2} {
			from, to := bar(preview, row)
			near(t, name, saved, row, from, to)
		}
		from, to := bar(d.png(fmt.Sprintf("/api/charts/%d/original", c.Chart)), 1)
		near(t, name+", original", saved, 1, from, to)
	}
	var c wholeChart
	d.get("/api/charts/1", &c)
	if len(c.VersionList) != 4 || c.VersionList[0].Latest || !c.VersionList[3].Latest || c.Versions != 4 {
		t.Errorf("%+v", c.VersionList)
	}
	last := c.VersionList[3].Chart
	var l chartList
	d.get("/api/charts", &l)
	if !slices.Equal(l.ids(), []int64{last}) {
		t.Errorf("%v", l.ids())
	}
	if w := d.send("DELETE", fmt.Sprintf("/api/charts/%d", last), nil); w.Code != http.StatusNoContent {
		t.Error(w.Code, w.Body)
	}
	d.refused(d.send("GET", fmt.Sprintf("/api/charts/%d/picture", last), nil), http.StatusNotFound, "no such")
	d.get("/api/charts", &l)
	if !slices.Equal(l.ids(), []int64{last - 1}) {
		t.Errorf("%v", l.ids())
	}
	problems, err := d.Check(t.Context())
	if err != nil || len(problems) > 0 {
		t.Error(problems, err)
	}
	for body, says := range map[string]string{`{"changes":{"lpm":1}}`: "cannot be drawn", `{"changes":{"ioc":1}}`: "288 nor 576", `{"changes":{"colour":1}}`: "colour", `[]`: "not as it should be"} {
		d.refused(d.sendText("POST", "/api/charts/1/versions", body), http.StatusBadRequest, says)
	}
	d.refused(d.send("POST", "/api/charts/99/versions", map[string]any{"changes": chartfile.Changes{}}), http.StatusNotFound, "no such")
}

func TestRemoveOnlyVersion(t *testing.T) {
	d := newDesk(t)
	d.saveChart("Ice", dayNoon, 0.5)
	d.refused(d.send("DELETE", "/api/charts/1", nil), http.StatusConflict, "only version")
	d.refused(d.send("DELETE", "/api/charts/2", nil), http.StatusNotFound, "no such")
}

// Who waits for a drawing can give it up, before it begins and while it is drawn, and others go on.
func TestRedrawGivenUp(t *testing.T) {
	d := newDesk(t)
	d.saveChart("Ice", dayNoon, 0.5)
	c, err := d.ChartNumbered(t.Context(), 1)
	must(t, err)
	k, err := d.videos.get(t.Context(), c.Video)
	must(t, err)
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := d.restored(gone, k, chartfile.Changes{Shift: 3}); err != context.Canceled {
		t.Error(err)
	}
	d.easel.taken <- struct{}{} // somebody draws
	late, cancel := context.WithTimeout(t.Context(), time.Millisecond)
	defer cancel()
	if _, err := d.restored(late, k, chartfile.Changes{Shift: 3}); err == nil {
		t.Error("two drew at a time")
	}
	d.png("/api/charts/1/preview?scale=0.1") // needs no easel
	<-d.easel.taken
	if drawn, err := d.restored(t.Context(), k, chartfile.Changes{Shift: 3}); err != nil || drawn.Image == nil || k.chart.Image != nil {
		t.Error("it is not drawn, or the video that is kept was changed:", err)
	}
}

// Videos are kept as far as they have room, those that were asked for last.
func TestVideos(t *testing.T) {
	d := newDesk(t)
	d.saveChart("Ice", dayNoon, 0.5)
	c, err := d.ChartNumbered(t.Context(), 1)
	must(t, err)
	opened := 0
	v := newVideos(func(string) (*os.File, error) {
		opened++
		return os.Open(d.PathOf(c.Video))
	})
	get := func(name string) *video {
		k, err := v.get(t.Context(), name)
		must(t, err)
		return k
	}
	if first := get("a"); get("a") != first || opened != 1 {
		t.Errorf("opened %d times", opened)
	}
	const most = 3
	v.most = most * get("a").bytes()
	for i := range most {
		get(fmt.Sprint(i))
		get("a")
	}
	if len(v.kept) != most || opened != 1+most {
		t.Errorf("%d are kept of %d, opened %d times", len(v.kept), most, opened)
	}
	if _, err := newVideos(d.openFile).get(t.Context(), "../outside.video"); err == nil {
		t.Error("a video outside was opened")
	}
}

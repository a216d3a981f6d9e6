package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"
)

// foundLine is a line of a hit, or of a transmission.
type foundLine struct {
	Line    int      `json:"line"`
	Text    string   `json:"text"`
	Matches [][2]int `json:"matches"`
	MayBe   []string `json:"may_be"`
	Chars   [][]any  `json:"chars"`
}

// foundList is what a search answers.
type foundList struct {
	Transmissions []struct {
		Transmission int64       `json:"transmission"`
		Receiver     string      `json:"receiver"`
		Chart        int64       `json:"chart"`
		Found        []foundLine `json:"found"`
	} `json:"transmissions"`
	Next int64 `json:"next"`
}

func (l *foundList) ids() (all []int64) {
	for _, t := range l.Transmissions {
		all = append(all, t.Transmission)
	}
	return all
}

func TestTransmissions(t *testing.T) {
	d := newDesk(t)
	d.hear("north", 7878100, dayNoon, "GALE WARNING OSTREL SEA\nWIND SW 8\n")                  // 1
	d.hear("south", 3855000, dayNoon.Add(time.Hour), "QUIET WEATHER\nNO G⌊X⌋LE IS EXPECTED\n") // 2
	d.saveChart("Surface analysis", dayNoon.Add(2*time.Hour), 0.9)                             // 3
	d.flush()
	for path, want := range map[string][]int64{
		"":                       {3, 2, 1},
		"words=gale":             {1},
		"words=~gale":            {2, 1},
		"words=%22sea%20wind%22": {1},
		"title=surface":          {3},
		"mode=fax&mode=cw":       {3},
		"receiver=south":         {2},
		"from_utc=2031-05-04T12:30:00Z&to_utc=2031-05-04T13:30:00Z": {2},
		"low_hz=3000000&high_hz=4000000":                            {2},
		"least_quality=0.99":                                        {},
		"charts=true":                                               {3},
		"texts=true":                                                {2, 1},
		"before=3&texts=false":                                      {2, 1},
		"least_rating=1":                                            {},
	} {
		var l foundList
		d.get("/api/transmissions?"+path, &l)
		if got := l.ids(); !slices.Equal(got, want) && len(got)+len(want) > 0 {
			t.Errorf("%s: %v, want %v", path, got, want)
		}
	}
	var l foundList
	d.get("/api/transmissions?words=~gale&limit=1", &l)
	if len(l.Transmissions) != 1 || l.Next != 2 || len(l.Transmissions[0].Found) != 1 {
		t.Fatalf("%+v", l)
	}
	if f := l.Transmissions[0].Found[0]; f.Line != 1 || fmt.Sprint(f.Matches) != "[[3 7]]" || !slices.Equal(f.MayBe, []string{"gale"}) {
		t.Errorf("%+v", f)
	}
	for path, says := range map[string]string{
		"words=%22gale":      "closing quotation mark",
		"title=a*":           "two letters",
		"colour=red":         `no parameter "colour"`,
		"from_utc=yesterday": "2026-03-04T12:15:00Z",
		"least_rating=9":     "between 0 and 5",
		"limit=-1":           "from 0 on",
		"favourites=maybe":   "neither true nor false",
		"low_hz=NaN":         "no number",
		"%zz":                "cannot be read",
	} {
		d.refused(d.send("GET", "/api/transmissions?"+path, nil), http.StatusBadRequest, says)
	}
}

func TestTransmission(t *testing.T) {
	d := newDesk(t)
	d.hear("north", 7878100, dayNoon, "GALE WARNING\n⌊W⌋IND\nSEA 4\n")
	d.saveChart("Surface analysis", dayNoon.Add(time.Hour), 0.9)
	d.flush()
	var x struct {
		Transmission int64       `json:"transmission"`
		Mode         string      `json:"mode"`
		Text         []foundLine `json:"text"`
		NextLine     int         `json:"next_line"`
		Charts       []chart     `json:"charts"`
		Levels       []level     `json:"levels"`
	}
	d.get("/api/transmissions/1?words=wind&lines=2", &x)
	if x.Mode != "rtty" || len(x.Text) != 2 || x.NextLine != 2 || len(x.Levels) != 1 || x.Levels[0].SNR != 12 {
		t.Fatalf("%+v", x)
	}
	if l := x.Text[1]; l.Text != "WIND" || fmt.Sprint(l.Matches) != "[[0 4]]" || fmt.Sprint(l.Chars) != "[[W 0.3] [I 0.97] [N 0.97] [D 0.97]]" {
		t.Errorf("%+v", l)
	}
	x.NextLine = 0
	d.get("/api/transmissions/1?from_line=2", &x)
	if len(x.Text) != 1 || x.Text[0].Text != "SEA 4" || x.NextLine != 0 {
		t.Errorf("%+v", x)
	}
	d.get("/api/transmissions/2", &x)
	if len(x.Charts) != 1 || x.Charts[0].Chart != 1 || x.Charts[0].Title != "Surface analysis" || len(x.Text) != 0 {
		t.Errorf("%+v", x)
	}
	for _, none := range []string{"9", "0", "-1", "x", "9999999999999999999", "%2e%2e"} {
		d.refused(d.send("GET", "/api/transmissions/"+none, nil), http.StatusNotFound, "no")
	}
	d.refused(d.send("GET", "/api/transmissions/1?words=%22", nil), http.StatusBadRequest, "closing")
}

func TestNoteTransmission(t *testing.T) {
	d := newDesk(t)
	d.hear("north", 7878100, dayNoon, "GALE WARNING\n")
	d.flush()
	var x struct {
		Title, Notes string
		Rating       int
		Favourite    bool
	}
	d.read(d.send("PATCH", "/api/transmissions/1", map[string]any{"title": "Bulletin", "rating": 4, "favourite": true}), http.StatusOK, &x)
	if x.Title != "Bulletin" || x.Rating != 4 || !x.Favourite {
		t.Errorf("%+v", x)
	}
	d.read(d.send("PATCH", "/api/transmissions/1", map[string]any{"notes": "well heard", "rating": 0}), http.StatusOK, &x)
	if x.Title != "Bulletin" || x.Notes != "well heard" {
		t.Errorf("%+v", x)
	}
	d.refused(d.send("PATCH", "/api/transmissions/1", map[string]any{"rating": 6}), http.StatusBadRequest, "between 0 and 5")
	d.refused(d.send("PATCH", "/api/transmissions/1", map[string]any{"colour": 6}), http.StatusBadRequest, "colour")
	d.refused(d.send("PATCH", "/api/transmissions/1", map[string]any{"title": strings.Repeat("x", mostTitle+1)}), http.StatusBadRequest, "characters")
	d.refused(d.send("PATCH", "/api/transmissions/7", map[string]any{"rating": 1}), http.StatusNotFound, "no such transmission")
	d.refused(d.send("PATCH", "/api/transmissions/1", strings.Repeat("x", mostBody)), http.StatusRequestEntityTooLarge, "bytes")
}

func TestExport(t *testing.T) {
	d := newDesk(t)
	d.hear("north", 7878100, dayNoon, "GALE WARNING\n")
	d.hear("south", 7878100, dayNoon.Add(time.Hour), "QUIET WEATHER\n")
	d.flush()
	w := d.send("GET", "/api/transmissions/1/export?form=text", nil)
	if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "GALE WARNING") || strings.Contains(w.Body.String(), "QUIET") ||
		w.Header().Get("Content-Disposition") != `attachment; filename="transmission-1.txt"` {
		t.Errorf("%v %s", w.Header(), w.Body)
	}
	for form, says := range map[string]string{"text": "QUIET", "csv": "transmission,receiver", "json": `"text":"GALE WARNING"`, "adif": "<EOH>"} {
		if w := d.send("GET", "/api/transmissions/export?form="+form, nil); w.Code != http.StatusOK || !strings.Contains(w.Body.String(), says) {
			t.Errorf("%s: %d %s", form, w.Code, w.Body)
		}
	}
	d.refused(d.send("GET", "/api/transmissions/export", nil), http.StatusBadRequest, "none of text, csv, json and adif")
	d.refused(d.send("GET", "/api/transmissions/export?form=csv&words=a*", nil), http.StatusBadRequest, "words")
	d.refused(d.send("GET", "/api/transmissions/9/export?form=csv", nil), http.StatusNotFound, "no such transmission")
}

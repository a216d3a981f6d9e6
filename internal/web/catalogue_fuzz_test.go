package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"ionoscribe/internal/archive"
)

// Whatever is asked for, the answer is what was asked or a problem of the one who asks.
func FuzzCatalogue(f *testing.F) {
	d := newDesk(f)
	d.hear("north", 7878100, dayNoon, "GALE WARNING\nNO G⌊X⌋LE\n")
	d.saveChartOf(8, "Ice", dayNoon, 0.5)
	d.Incident(archive.Incident{At: dayNoon, What: archive.Started, Receiver: "north"})
	d.flush()
	paths := []string{"/api/transmissions", "/api/transmissions/1", "/api/transmissions/2", "/api/transmissions/export", "/api/transmissions/1/export", "/api/charts", "/api/charts/titles",
		"/api/charts/1", "/api/charts/1/picture", "/api/charts/1/preview", "/api/charts/1/histogram", "/api/day", "/api/band"}
	for i, query := range []string{
		"words=~gale -\"the sea\" x*", "words=gale&from_line=1&lines=1", "lines=99999999999", "form=csv&words=gale", "form=adif", "before=1931593600000-1&limit=3&title=Ice", "least_quality=1e308",
		"", "download=true", "shift=-1810&clock_ppm=1e5&lpm=240&x=1&y=1&width=100&height=2&scale=0.5", "", "date=2031-05-04", "from_utc=2031-05-01T00:00:00Z&to_utc=2031-05-05T00:00:00Z&receiver=north",
	} {
		f.Add(uint8(i), query)
	}
	f.Add(uint8(9), "black=1e-300&white=0&deviation_hz=1&tuning_hz=1800&ioc=288&invert=true")
	f.Add(uint8(11), "date=9999-12-31")
	f.Add(uint8(12), "from_utc=9998-12-31T00:00:00Z&to_utc=9999-12-31T23:59:59Z")
	f.Fuzz(func(t *testing.T, which uint8, query string) {
		if strings.Contains(query, "restored=true") {
			return // which takes long
		}
		r := request("GET", paths[int(which)%len(paths)], "", "")
		r.URL = &url.URL{Path: r.URL.Path, RawQuery: query}
		if w := ask(d.Server, r); w.Code >= http.StatusInternalServerError {
			t.Fatalf("%s?%s: status %d: %s", r.URL.Path, query, w.Code, w.Body)
		}
	})
}

package web

import (
	"bytes"
	"image/png"
	"net/http"
	"strings"
	"testing"

	"ionoscribe/internal/archive"
	"ionoscribe/internal/chartfile"
)

func TestPicture(t *testing.T) {
	d := newDesk(t)
	d.saveChart("Ice", dayNoon, 0.5)
	for _, which := range []string{"thumbnail", "picture"} {
		w := d.send("GET", "/api/charts/1/"+which, nil)
		m, err := png.Decode(bytes.NewReader(w.Body.Bytes()))
		if err != nil || w.Header().Get("Content-Type") != "image/png" || !strings.Contains(w.Header().Get("Cache-Control"), "immutable") {
			t.Fatalf("%s: %v %v", which, err, w.Header())
		}
		if which == "picture" && (m.Bounds().Dx() != 1810 || m.Bounds().Dy() != chartLines) {
			t.Error(m.Bounds())
		}
		d.refused(d.send("GET", "/api/charts/2/"+which, nil), http.StatusNotFound, "no such")
	}
	w := d.send("GET", "/api/charts/1/picture?download=true", nil)
	if got := w.Header().Get("Content-Disposition"); got != `attachment; filename="20310504T120000Z-120-576.png"` {
		t.Error(got)
	}
	d.leave("2031/05/04/20310504T120000Z-120-576.png")
	w = d.send("GET", "/api/charts/1/picture", nil)
	d.refused(w, http.StatusNotFound, "20310504T120000Z-120-576.png is not there")
	if strings.Contains(w.Header().Get("Cache-Control"), "immutable") {
		t.Error("that it is not there is not for ever")
	}
}

// A row whose path leads out of the station's folder opens nothing.
func TestPictureOutside(t *testing.T) {
	d := newDesk(t)
	for _, path := range []string{"/etc/hostname", d.dir + "/../outside.png"} {
		id := d.Begin(archive.Transmission{Receiver: "north", Mode: "fax", Begun: dayNoon})
		n := d.Archive.Chart(id, archive.Chart{Picture: path, Thumbnail: []byte{}, Info: chartfile.Info{Start: dayNoon}})
		d.flush()
		for _, which := range []string{"picture", "thumbnail"} {
			if w := d.send("GET", "/api/charts/"+string('0'+rune(n))+"/"+which, nil); w.Code < 400 {
				t.Errorf("%s: status %d", path, w.Code)
			}
		}
	}
}

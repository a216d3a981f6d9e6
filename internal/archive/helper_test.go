package archive

import (
	"context"
	"image"
	"os"
	"strings"
	"testing"
	"time"

	"ionoscribe/internal/chartfile"
)

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// open opens the archive of a folder, and closes it at the end of the test. What it notes is in the log.
func open(t testing.TB, dir string) *Archive {
	t.Helper()
	a, err := Open(dir, Options{Note: func(line string, more ...any) { t.Log(append([]any{line}, more...)...) }})
	must(t, err)
	t.Cleanup(func() { a.Close() })
	return a
}

func flush(t testing.TB, a *Archive) {
	t.Helper()
	must(t, a.Flush(context.Background()))
}

// noon is when invented transmissions begin.
var noon = time.Date(2031, 5, 4, 12, 0, 0, 0, time.UTC)

// tell tells of a text of 10 characters a second; those between ⌊ and ⌋ have a confidence of 0.3.
func tell(a *Archive, id ID, at time.Time, text string) time.Time {
	confidence := 0.97
	for _, r := range text {
		switch r {
		case '⌊':
			confidence = 0.3
		case '⌋':
			confidence = 0.97
		default:
			a.Text(id, Char{At: at, Text: string(r), Confidence: confidence})
			at = at.Add(100 * time.Millisecond)
		}
	}
	return at
}

// hear tells of a whole transmission.
func hear(a *Archive, receiver, mode string, begun time.Time, text string) ID {
	id := a.Begin(Transmission{Receiver: receiver, Source: "sound card", Mode: mode, Settings: "50 Bd, shift 450 Hz", OnAir: true, Hz: 7878100, LowHz: 7877800, HighHz: 7878400,
		Begun: begun, SNR: 12.5, Copied: true, TimeFrom: "the system's clock"})
	end := tell(a, id, begun, text)
	a.SNR(id, end, 12)
	a.End(id, end)
	return id
}

// saveChart saves a small chart where it belongs.
func saveChart(t testing.TB, a *Archive, begun time.Time) (picture, video string, info chartfile.Info) {
	t.Helper()
	c := &chartfile.Chart{Info: chartfile.Info{Start: begun, End: begun.Add(time.Minute), TimeFrom: "the system's clock", Source: "north", Hz: 7878100, IOC: 576, LPM: 120, Lines: 120,
		Began: "phasing", Ended: "stop tone", Quality: chartfile.Quality{0.8, 0.6}}, Image: image.NewGray(image.Rect(0, 0, 1810, 120))}
	for i := range c.Image.Pix {
		c.Image.Pix[i] = byte(i % 1810 / 8)
	}
	picture, video, err := chartfile.Save(a.Folder(begun), c, nil)
	must(t, err)
	if video == "" {
		video = chartfile.VideoPath(picture)
		must(t, os.WriteFile(video, []byte("samples"), 0o666))
	}
	return picture, video, c.Info
}

// hearChart tells of a transmission with a chart.
func hearChart(t testing.TB, a *Archive, receiver, title string, begun time.Time) ID {
	t.Helper()
	id := a.Begin(Transmission{Receiver: receiver, Source: "sound card", Mode: "fax", Settings: "IOC 576, 120 lines/min", OnAir: true, Hz: 7878100, Begun: begun, SNR: 20, Copied: true, Title: title})
	p, v, info := saveChart(t, a, begun)
	a.Chart(id, Chart{Picture: p, Video: v, Info: info})
	a.End(id, begun.Add(2*time.Minute))
	return id
}

// texts are the lines of a transmission, joined.
func texts(t testing.TB, r *Reader, id ID) string {
	t.Helper()
	record, err := r.Transmission(context.Background(), id)
	must(t, err)
	var all []string
	for _, l := range record.Text {
		all = append(all, l.Text)
	}
	return strings.Join(all, "\n")
}

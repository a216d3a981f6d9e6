package web

import (
	"net/http"
	"testing"
)

// Previews of a chart of ten minutes, whole at the widths of screens, and what is done once for a chart. Goal: 100 ms for a whole chart.
func BenchmarkPreview(b *testing.B) {
	const lines = 1200
	d := newDesk(b)
	d.saveChartOf(lines, "Ice", dayNoon, 0.5)
	c, err := d.ChartNumbered(b.Context(), 1)
	must(b, err)
	b.Run("open", func(b *testing.B) {
		for b.Loop() {
			_, err := newVideos(d.openFile).get(b.Context(), c.Video)
			must(b, err)
		}
	})
	for name, path := range map[string]string{
		"1280 wide": "preview?shift=17&scale=0.7072",
		"360 wide":  "preview?shift=17&scale=0.1989",
		"part":      "preview?shift=17&x=400&y=300&width=1280&height=800",
		"original":  "original",
		"picture":   "picture",
		"chart":     "",
	} {
		b.Run(name, func(b *testing.B) {
			bytes := 0
			for b.Loop() {
				w := d.send("GET", "/api/charts/1/"+path, nil)
				if path == "" {
					w = d.send("GET", "/api/charts/1", nil)
				}
				if w.Code != http.StatusOK {
					b.Fatal(w.Body)
				}
				bytes = w.Body.Len()
			}
			b.ReportMetric(float64(bytes), "bytes")
		})
	}
}

package live

import (
	"image"

	"ionoscribe/internal/archive"
	"ionoscribe/internal/station"
)

// chartSoFar is a chart that is coming in, as its decoder shows its lines.
type chartSoFar struct {
	width   int
	rows    int
	pixels  []byte
	drawing bool
}

// Bounds of what a newcomer is shown of charts.
const (
	mostLines  = 6000     // of a chart: 50 minutes at 120 a minute, longer than charts are
	mostPixels = 64 << 20 // of all charts that are coming in: twenty usual ones
)

// line takes a line of a chart.
func (h *Hub) line(n station.News, g *going) {
	pixels := n.Pixels()
	c := g.chart
	if c == nil || n.Row == 0 || len(pixels) != c.width {
		c = &chartSoFar{width: len(pixels)}
		g.chart = c
	}
	if n.Row >= mostLines || len(pixels) == 0 {
		return
	}
	if grows := (n.Row + 1 - c.rows) * c.width; grows > 0 && h.pixels()+grows <= mostPixels {
		c.pixels = append(c.pixels, make([]byte, grows-c.width)...) // lines that were not remembered
		c.pixels = append(c.pixels, pixels...)
		c.rows = n.Row + 1
	}
	data := chartLine(int64(n.Transmission.ID), n.Row, pixels)
	for client := range h.clients {
		client.chartLine(int64(n.Transmission.ID), data)
	}
}

// pixels is how many are remembered of all charts; the mutex is held.
func (h *Hub) pixels() (n int) {
	for _, g := range h.going {
		if g.chart != nil {
			n += len(g.chart.pixels)
		}
	}
	return n
}

// Drawing is the chart of a transmission as far as it has come; nil: there is none.
func (h *Hub) Drawing(id archive.ID) *image.Gray {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	g := h.going[id]
	if g == nil || g.chart == nil || g.chart.rows == 0 {
		return nil
	}
	m := image.NewGray(image.Rect(0, 0, g.chart.width, g.chart.rows))
	copy(m.Pix, g.chart.pixels)
	return m
}

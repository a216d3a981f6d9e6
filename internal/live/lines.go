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

// mostRows bounds the lines of a chart that a newcomer is shown: 6000 are 50 minutes at 120 a minute, longer than charts are.
const mostLines = 6000

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
	for c.rows < n.Row { // lines that were told before the hub was there
		c.pixels = append(c.pixels, make([]byte, c.width)...)
		c.rows++
	}
	if n.Row == c.rows {
		c.pixels = append(c.pixels, pixels...)
		c.rows++
	}
	data := chartLine(int64(n.Transmission.ID), n.Row, pixels)
	for client := range h.clients {
		client.chartLine(int64(n.Transmission.ID), data)
	}
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

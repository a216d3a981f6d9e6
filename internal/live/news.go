package live

import (
	"slices"

	"ionoscribe/copydesk"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/station"
)

// head begins every message that has a number.
type head struct {
	What   string `json:"what"`
	Number int64  `json:"number"`
}

// take makes messages of news; g is the transmission, or nil. The mutex is held.
func (h *Hub) take(n station.News, g *going) {
	if g == nil && n.What != station.Saved && n.What != copydesk.Gap && n.What != copydesk.Trouble {
		return // it was heard before the hub was there, or it has ended
	}
	switch n.What {
	case copydesk.Began:
		h.tell(func(number int64) any {
			return struct {
				head
				Transmission Going `json:"transmission"`
			}{head{"began", number}, g.object()}
		})
	case copydesk.Changed:
		if n.Heard == nil { // the decoder's changes are many, and the survey's say all that is shown
			h.tellOf("changed", n.Transmission)
		}
	case copydesk.Text:
		if len(g.pending) == 0 {
			g.since = n.UTC
		}
		g.pending = append(g.pending, Char{n.Text, n.Confidence})
	case copydesk.Line:
		h.line(n, g)
	case copydesk.Chart:
		if g.chart != nil {
			g.chart.drawing = true
		}
		h.tell(func(number int64) any {
			return struct {
				head
				ID archive.ID `json:"id"`
			}{head{"drawing", number}, n.Transmission.ID}
		})
	case station.Saved:
		h.saved(n, g)
	case copydesk.Ended:
		delete(h.going, n.Transmission.ID)
		h.order = slices.DeleteFunc(h.order, func(id archive.ID) bool { return id == n.Transmission.ID })
		h.tellOf("ended", n.Transmission)
	case copydesk.Gap:
		h.tell(func(number int64) any {
			return struct {
				head
				Receiver string  `json:"receiver"`
				UTC      string  `json:"utc"`
				Seconds  float64 `json:"seconds"`
			}{head{"gap", number}, n.Source, stamp(n.UTC), n.Seconds}
		})
	case copydesk.Trouble:
		h.tell(func(number int64) any {
			return struct {
				head
				Receiver string `json:"receiver"`
				UTC      string `json:"utc"`
				Text     string `json:"text"`
			}{head{"trouble", number}, n.Source, stamp(n.UTC), n.Err.Error()}
		})
	}
}

// tellOf tells what is known of a transmission.
func (h *Hub) tellOf(what string, t archive.Transmission) {
	h.tell(func(number int64) any {
		return struct {
			head
			Transmission archive.Transmission `json:"transmission"`
		}{head{what, number}, t}
	})
}

// saved tells of a chart that can be fetched. Its lines are not needed any more, unless the next chart has begun.
func (h *Hub) saved(n station.News, g *going) {
	if g != nil && g.chart != nil && g.chart.drawing {
		g.chart = nil
	}
	h.tell(func(number int64) any {
		return struct {
			head
			ID      archive.ID `json:"id"`
			Chart   int64      `json:"chart"`
			Title   string     `json:"title"`
			Quality float64    `json:"quality"`
		}{head{"chart", number}, n.Transmission.ID, n.Chart, n.Title, n.Transmission.Quality}
	})
}

// tellAllText tells what was gathered of all texts; the mutex is held.
func (h *Hub) tellAllText() {
	for _, id := range h.order {
		h.tellText(h.going[id])
	}
}

// tellText tells what was gathered of a text.
func (h *Hub) tellText(g *going) {
	if len(g.pending) == 0 {
		return
	}
	h.tell(func(number int64) any {
		return struct {
			head
			ID       archive.ID `json:"id"`
			Receiver string     `json:"receiver"`
			UTC      string     `json:"utc"`
			Chars    Chars      `json:"chars"`
		}{head{"text", number}, g.known.ID, g.known.Receiver, stamp(g.since), g.pending}
	})
	g.text = append(g.text, g.pending...)
	if len(g.text) > 2*mostText { // moved now and then, and not each time
		g.text = append(Chars{}, g.text[len(g.text)-mostText:]...)
	}
	g.pending = nil
}

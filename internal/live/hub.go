package live

import (
	"context"
	"sync"
	"sync/atomic"
	"time"

	"ionoscribe/copydesk"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/station"
)

// Station is what a hub knows of a station, as station.Station has it.
type Station interface {
	Follow(func(station.News))
	Tap(station.Tap)
	Status() []station.Status
	Time() time.Time
	Name() (name, place string)
}

// Hub knows what is on the air, and tells its clients of it.
type Hub struct {
	station Station
	running func() time.Time

	mutex    sync.Mutex // of all below
	log      history
	going    map[archive.ID]*going
	order    []archive.ID // of going, by their beginnings
	clients  map[*Client]bool
	numbers  map[string]int // of receivers, in rows
	reported string         // receivers as they were told last, but for what changes all the time

	wanted atomic.Pointer[map[string]bool] // receivers whose spectrum somebody wants

	sounds sounds

	tapMutex sync.Mutex
	spectra  map[string]*spectrum      // by receiver, in whose goroutine each is used
	inputs   map[string]*station.Input // for which they were made
}

// going is a transmission under way.
type going struct {
	known   archive.Transmission
	text    Chars
	pending Chars     // not told yet
	since   time.Time // UTC of the first of them
	chart   *chartSoFar
}

// Bounds of what is remembered.
const (
	// mostText is how many characters of a transmission a new client gets: a long screen of them.
	mostText = 4000
	// gatherFor is how long characters are gathered before they are told.
	gatherFor = 200 * time.Millisecond
	// levelsEvery is how often levels are told: they are those of the last second.
	levelsEvery = time.Second
)

// New makes a hub of a station that does not run yet.
func New(s Station) *Hub {
	h := &Hub{station: s, running: time.Now, log: newHistory(time.Now()), going: map[archive.ID]*going{}, clients: map[*Client]bool{},
		numbers: map[string]int{}, spectra: map[string]*spectrum{}, inputs: map[string]*station.Input{}}
	s.Follow(h.hear)
	s.Tap(h.tap)
	return h
}

// Run tells what is gathered until ctx ends.
func (h *Hub) Run(ctx context.Context) {
	text, levels := time.NewTicker(gatherFor), time.NewTicker(levelsEvery)
	defer text.Stop()
	defer levels.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-text.C:
			h.mutex.Lock()
			h.tellAllText()
			h.mutex.Unlock()
		case <-levels.C:
			h.tellReceivers(h.station.Status())
		}
	}
}

// Join adds a client that has all messages up to a number; 0: none. If what it misses is not there any more, or is more than a
// client may be behind, it begins with the state of now. The first message says which: {"what":"hello"}.
func (h *Hub) Join(after int64) *Client {
	c := &Client{hub: h, ready: make(chan struct{}, 1)}
	c.first = encode(h.join(c, after)) // which may take some milliseconds, and receivers go on
	return c
}

// hello is the first message of a client.
type hello struct {
	What    string `json:"what"`
	Number  int64  `json:"number"`
	Resumed bool   `json:"resumed"`
	Now     *Now   `json:"now,omitempty"`
}

func (h *Hub) join(c *Client, after int64) hello {
	status := h.station.Status()
	h.mutex.Lock()
	defer h.mutex.Unlock()
	h.tellAllText()
	h.clients[c] = true
	if missed, ok := h.log.after(after); ok {
		for _, m := range missed {
			c.message(m)
		}
		return hello{What: "hello", Number: after, Resumed: true}
	}
	now := h.now(status)
	return hello{What: "hello", Number: h.log.last, Now: &now}
}

func (h *Hub) leave(c *Client) {
	h.mutex.Lock()
	delete(h.clients, c)
	h.mutex.Unlock()
	h.wants()
}

// wants finds out which spectra somebody wants.
func (h *Hub) wants() {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	all := map[string]bool{}
	for c := range h.clients {
		c.mutex.Lock()
		for name := range c.spectrum {
			all[name] = true
		}
		c.mutex.Unlock()
	}
	h.wanted.Store(&all)
}

// Now is the state of all.
func (h *Hub) Now() Now {
	status := h.station.Status()
	h.mutex.Lock()
	defer h.mutex.Unlock()
	h.tellAllText()
	return h.now(status)
}

// now is the state; the mutex is held.
func (h *Hub) now(status []station.Status) Now {
	n := Now{Number: h.log.last, UTC: stamp(h.station.Time()), Receivers: h.receiversOf(status), Transmissions: []Going{}}
	n.Station, n.Place = h.station.Name()
	for _, id := range h.order {
		n.Transmissions = append(n.Transmissions, h.going[id].object())
	}
	return n
}

func (g *going) object() Going {
	o := Going{Transmission: g.known, Text: append(Chars{}, g.text[max(0, len(g.text)-mostText):]...)}
	if c := g.chart; c != nil {
		o.Chart = &ChartSoFar{Rows: c.rows, Width: c.width, Drawing: c.drawing}
	}
	return o
}

// tell numbers a message and queues it for all clients; the mutex is held. make makes it with its number.
func (h *Hub) tell(make func(number int64) any) {
	m := encode(make(h.log.last + 1))
	h.log.add(m)
	for c := range h.clients {
		c.message(m)
	}
}

// hear takes news of the station.
func (h *Hub) hear(n station.News) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	id := n.Transmission.ID
	g := h.going[id]
	if id != 0 && n.What == copydesk.Began && g == nil {
		g = &going{}
		h.going[id] = g
		h.order = append(h.order, id)
	}
	if g != nil && n.What != copydesk.Text && n.What != copydesk.Line {
		h.tellText(g)                // what was printed before
		if n.What != station.Saved { // which tells what was known when the chart was complete
			g.known = n.Transmission
		}
	}
	h.take(n, g)
}

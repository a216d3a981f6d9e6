package live

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"

	"ionoscribe/copydesk"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/live/livetest"
	"ionoscribe/internal/mode"
	"ionoscribe/internal/station"
)

// told is a message as a client reads it.
type told struct {
	What         string     `json:"what"`
	Number       int64      `json:"number"`
	Resumed      bool       `json:"resumed"`
	ID           archive.ID `json:"id"`
	Chars        [][]any    `json:"chars"`
	Transmission struct {
		ID    archive.ID  `json:"transmission"`
		Title string      `json:"title"`
		Text  [][]any     `json:"text"`
		Chart *ChartSoFar `json:"chart"`
	} `json:"transmission"`
	Now *struct {
		Number        int64             `json:"number"`
		Receivers     []json.RawMessage `json:"receivers"`
		Transmissions []struct {
			ID    archive.ID  `json:"transmission"`
			Text  [][]any     `json:"text"`
			Chart *ChartSoFar `json:"chart"`
		} `json:"transmissions"`
	} `json:"now"`
	Chart   int64   `json:"chart"`
	Title   string  `json:"title"`
	Quality float64 `json:"quality"`
	Seconds float64 `json:"seconds"`
	Text    string  `json:"text"`
}

func read(t testing.TB, m Message) (v told) {
	t.Helper()
	if m.Text == nil {
		t.Fatalf("%d bytes instead of an object", len(m.Data))
	}
	must(t, json.Unmarshal(m.Text, &v))
	return v
}

// textOf puts the characters of an array of ["A",0.9] together.
func textOf(t testing.TB, chars [][]any) string {
	t.Helper()
	var b strings.Builder
	for _, c := range chars {
		if len(c) != 2 || c[1] != 0.9 {
			t.Fatalf("%v", c)
		}
		b.WriteString(c[0].(string))
	}
	return b.String()
}

// waiting takes all messages that wait for a client.
func waiting(t testing.TB, c *Client) (all []told) {
	t.Helper()
	for {
		m, ok, err := c.take()
		must(t, err)
		if !ok {
			return all
		}
		all = append(all, read(t, m))
	}
}

func newHub() (*livetest.Station, *Hub) {
	s := new(livetest.Station)
	return s, New(s)
}

func (h *Hub) flush() {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	h.tellAllText()
}

// A client that comes first is told of a transmission from its beginning to its end, with numbers without holes.
func TestStory(t *testing.T) {
	s, h := newHub()
	c := h.Join(0)
	s.Tell(7, copydesk.Event{What: copydesk.Began})
	s.Print(7, "GALE")
	s.Tell(7, copydesk.Event{What: copydesk.Changed})
	s.Tell(7, copydesk.Event{What: copydesk.Changed, Heard: new(mode.Heard)})
	s.Print(7, "S\n")
	s.Tell(7, copydesk.Event{What: copydesk.Ended})
	s.News(station.News{Event: copydesk.Event{What: copydesk.Gap, Source: "north", UTC: livetest.Begin}, Seconds: 1.5})
	s.Tell(0, copydesk.Event{What: copydesk.Trouble, Err: errors.New("it is broken")})
	all := waiting(t, c)
	var story []string
	for i, m := range all {
		if m.Number != all[0].Number+int64(i) {
			t.Errorf("message %d has the number %d", i, m.Number)
		}
		story = append(story, fmt.Sprint(m.What, " ", m.ID+m.Transmission.ID, " ", textOf(t, m.Chars), m.Text, m.Seconds))
	}
	if got, want := strings.Join(story, "; "), "hello 0 0; began 7 0; text 7 GALE0; changed 7 0; text 7 S\n0; ended 7 0; gap 0 1.5; trouble 0 it is broken0"; got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
	if all[0].Now == nil || all[0].Resumed || all[1].Transmission.Title != "Transmission 7" {
		t.Errorf("%+v", all)
	}
}

// A chart is told of line by line to those who want it, then that it is complete, and when it can be fetched.
func TestChart(t *testing.T) {
	s, h := newHub()
	c, other := h.Join(0), h.Join(0)
	c.Want(Want{Lines: []int64{7}})
	s.Tell(7, copydesk.Event{What: copydesk.Began})
	for row := range 3 {
		s.Line(7, row, []byte{byte(row), 2, 3})
	}
	if m := h.Drawing(7); m == nil || m.Bounds().Dx() != 3 || m.Bounds().Dy() != 3 || !bytes.Equal(m.Pix, []byte{0, 2, 3, 1, 2, 3, 2, 2, 3}) {
		t.Errorf("%+v", m)
	}
	if h.Drawing(8) != nil {
		t.Error("there is a drawing of nothing")
	}
	newcomer := read(t, first(t, h.Join(0)))
	if g := newcomer.Now.Transmissions[0]; g.Chart == nil || *g.Chart != (ChartSoFar{Rows: 3, Width: 3}) {
		t.Errorf("%+v", newcomer)
	}
	s.Tell(7, copydesk.Event{What: copydesk.Chart})
	s.News(station.News{Event: copydesk.Event{What: station.Saved, Source: "north"}, Transmission: archive.Transmission{ID: 7, Quality: 0.75}, Chart: 5, Title: "Analysis"})
	if h.Drawing(7) != nil {
		t.Error("the lines of a chart that is saved are kept")
	}
	var rows [][]byte
	var what []string
	for {
		m, ok, err := c.take()
		must(t, err)
		if !ok {
			break
		}
		if m.Data != nil {
			rows = append(rows, m.Data)
			continue
		}
		what = append(what, read(t, m).What)
		if v := read(t, m); v.What == "chart" && (v.ID != 7 || v.Chart != 5 || v.Title != "Analysis" || v.Quality != 0.75) {
			t.Errorf("%+v", v)
		}
	}
	if fmt.Sprint(what) != "[hello began drawing chart]" || len(rows) != 3 {
		t.Errorf("%q, %d rows", what, len(rows))
	}
	if want := "\x02\x00\x03\x00\x02\x00\x00\x00\x00\x00\x00\x00\x00\x00\x1c\x40\x02\x02\x03"; string(rows[2]) != want {
		t.Errorf("% x, want % x", rows[2], want)
	}
	if all := waiting(t, other); len(all) != 4 {
		t.Errorf("%+v", all)
	}
}

func first(t testing.TB, c *Client) Message {
	t.Helper()
	m, ok, err := c.take()
	must(t, err)
	if !ok {
		t.Fatal("a newcomer is told nothing")
	}
	return m
}

// A client that was cut off goes on after the last message that it has: each comes once, in order. One that was away for too long, or
// has numbers of another run, begins with the state of now.
func TestResume(t *testing.T) {
	s, h := newHub()
	random := rand.New(rand.NewPCG(1, 2))
	s.Tell(7, copydesk.Event{What: copydesk.Began})
	c := h.Join(0)
	last := read(t, first(t, c)).Number
	began := last
	var got strings.Builder
	take := func() { // all that waits, or only some of it
		for range random.IntN(8) {
			m, ok, err := c.take()
			must(t, err)
			if !ok {
				return
			}
			v := read(t, m)
			if v.What == "hello" {
				if !v.Resumed || v.Number != last || v.Now != nil {
					t.Fatalf("%+v after %d", v, last)
				}
				continue
			}
			if v.Number != last+1 {
				t.Fatalf("%d came after %d", v.Number, last)
			}
			last = v.Number
			got.WriteString(textOf(t, v.Chars))
		}
	}
	var want strings.Builder
	for i := range 2000 {
		text := fmt.Sprint(i, " ")
		want.WriteString(text)
		s.Print(7, text)
		h.flush()
		if take(); random.IntN(10) == 0 { // it is cut off
			c.Leave()
			if random.IntN(2) == 0 {
				c = h.Join(last)
			} else {
				s.Print(7, "while it is away ")
				want.WriteString("while it is away ")
				h.flush()
				c = h.Join(last)
			}
		}
	}
	for _, v := range waiting(t, c) {
		got.WriteString(textOf(t, v.Chars))
	}
	if got.String() != want.String() {
		t.Errorf("%d characters instead of %d", got.Len(), want.Len())
	}
	for _, number := range []int64{1, began - 1000, h.log.last + 1, -5} {
		if v := read(t, first(t, h.Join(number))); v.Resumed || v.Now == nil || v.Number != h.log.last {
			t.Errorf("after %d: %+v", number, v)
		}
	}
	if v := read(t, first(t, h.Join(h.log.last))); !v.Resumed {
		t.Errorf("%+v", v)
	}
}

// A newcomer is told of what is under way, with the end of its text, and misses nothing after that, while messages come from
// several receivers and clients come and go.
func TestNewcomers(t *testing.T) {
	s, h := newHub()
	const length = 1000
	text := func(id, i int) string { return string(rune('A' + (i*7+id)%26)) }
	for id := range 4 {
		s.Tell(archive.ID(id+1), copydesk.Event{What: copydesk.Began})
	}
	var receivers, newcomers sync.WaitGroup
	for id := range 4 {
		receivers.Go(func() {
			for i := range length {
				s.Print(archive.ID(id+1), text(id, i))
			}
		})
	}
	clients := make(chan *Client, 20)
	newcomers.Go(func() {
		for range cap(clients) {
			clients <- h.Join(0)
			h.flush()
		}
	})
	receivers.Wait()
	newcomers.Wait()
	h.flush()
	close(clients)
	for c := range clients {
		got := map[archive.ID]string{}
		for i, v := range waiting(t, c) {
			if i == 0 {
				for _, g := range v.Now.Transmissions {
					got[g.ID] = textOf(t, g.Text)
				}
				continue
			}
			got[v.ID] += textOf(t, v.Chars)
		}
		for id := range 4 {
			var want strings.Builder
			for i := range length {
				want.WriteString(text(id, i))
			}
			if got[archive.ID(id+1)] != want.String() {
				t.Fatalf("transmission %d: %d characters of %d", id+1, len(got[archive.ID(id+1)]), length)
			}
		}
	}
}

// The state of a newcomer has a bounded text of each transmission, and what has ended is gone from it.
func TestNow(t *testing.T) {
	s, h := newHub()
	s.SetStatus(station.Status{Name: "north"}, station.Status{Name: "south", Connected: true, Rate: 12000, DialHz: 4e6})
	for id := range archive.ID(3) {
		s.Tell(id+1, copydesk.Event{What: copydesk.Began})
		for range 30 {
			s.Print(id+1, strings.Repeat("X", 300))
			h.flush()
		}
		s.Print(id+1, "END")
	}
	s.Tell(2, copydesk.Event{What: copydesk.Ended})
	v := read(t, first(t, h.Join(0)))
	if len(v.Now.Transmissions) != 2 || len(v.Now.Receivers) != 2 || v.Now.Transmissions[1].ID != 3 {
		t.Fatalf("%d transmissions, %d receivers", len(v.Now.Transmissions), len(v.Now.Receivers))
	}
	for _, g := range v.Now.Transmissions {
		if got := textOf(t, g.Text); len(got) != mostText || !strings.HasSuffix(got, "XEND") {
			t.Errorf("%d characters, the last are %q", len(got), got[max(0, len(got)-5):])
		}
	}
}

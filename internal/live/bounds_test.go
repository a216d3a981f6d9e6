package live

import (
	"context"
	"errors"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"ionoscribe/copydesk"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/station"
)

// Characters are gathered, for as long as is agreed at most.
func TestGathering(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, h := newHub()
		ctx, cancel := context.WithCancel(t.Context())
		var running sync.WaitGroup
		running.Go(func() { h.Run(ctx) })
		defer running.Wait()
		defer cancel()
		s.Tell(7, copydesk.Event{What: copydesk.Began})
		c := h.Join(0)
		waiting(t, c)
		const characters, every = 1000, 15 * time.Millisecond
		began := time.Now()
		running.Go(func() {
			for range characters {
				s.Print(7, "A")
				time.Sleep(every)
			}
		})
		heard, messages := 0, 0
		for heard < characters {
			m, err := c.Next(ctx)
			must(t, err)
			v := read(t, m)
			if v.What != "text" {
				continue
			}
			if late := time.Since(began.Add(time.Duration(heard) * every)); late > gatherFor {
				t.Fatalf("character %d is told %v later", heard, late)
			}
			heard += len(v.Chars)
			messages++
		}
		if most := int(characters*every/gatherFor) + 1; messages > most {
			t.Errorf("%d messages, where %d are enough", messages, most)
		}
	})
}

// A client that takes nothing is given up when its queue is full. Who sends never waits for it: nobody takes anything here, and the
// test ends. It can come again, and others have missed nothing.
func TestSlowClient(t *testing.T) {
	s, h := newHub()
	s.Tell(7, copydesk.Event{What: copydesk.Began})
	slow, quick := h.Join(0), h.Join(0)
	slow.Want(Want{Spectrum: []string{"north"}, Lines: []int64{7}})
	waiting(t, slow)
	last := waiting(t, quick)[0].Number
	for i := range mostQueued + 10 {
		s.Line(7, i, make([]byte, 100))
		s.Print(7, "A")
		h.flush()
		for _, v := range waiting(t, quick) {
			if v.Number != last+1 {
				t.Fatalf("%d after %d", v.Number, last)
			}
			last = v.Number
		}
	}
	if _, err := slow.Next(t.Context()); !errors.Is(err, ErrSlow) {
		t.Errorf("%v", err)
	}
	if slow.messages != nil || len(slow.rows) != 0 {
		t.Errorf("%d messages and %d rows are kept for nobody", len(slow.messages), len(slow.rows))
	}
	if v := read(t, first(t, h.Join(last-100))); !v.Resumed {
		t.Errorf("%+v", v)
	}
}

// Of a client that takes no rows the latest are kept.
func TestRowsAreDropped(t *testing.T) {
	s, h := newHub()
	s.Tell(7, copydesk.Event{What: copydesk.Began})
	c := h.Join(0)
	c.Want(Want{Lines: []int64{7}})
	for i := range 1000 {
		s.Line(7, i, []byte{byte(i)})
	}
	s.Print(7, "A")
	h.flush()
	var texts, rows int
	for {
		m, ok, err := c.take()
		must(t, err)
		if !ok {
			break
		}
		if m.Text != nil {
			if texts++; rows > 0 {
				t.Error("a text comes after rows")
			}
			continue
		}
		if got, want := m.Data[headBytes], byte(1000-mostQueuedRows+rows); got != want {
			t.Fatalf("row %d is there in the place of %d", got, want)
		}
		rows++
	}
	if texts != 2 || rows != mostQueuedRows {
		t.Errorf("%d texts, %d rows", texts, rows)
	}
}

// What is remembered is bounded, however much comes.
func TestMemoryIsBounded(t *testing.T) {
	s, h := newHub()
	for id := range archive.ID(2000) {
		s.Tell(id+1, copydesk.Event{What: copydesk.Began})
		s.Print(id+1, "A")
		s.Line(id+1, 0, make([]byte, 1000))
		s.Tell(id+1, copydesk.Event{What: copydesk.Trouble, Err: errors.New(strings.Repeat("long ", 800))})
		s.Tell(id+1, copydesk.Event{What: copydesk.Ended})
	}
	bytes := 0
	for _, m := range h.log.messages {
		bytes += len(m)
	}
	if bytes != h.log.bytes || bytes > mostHistory || bytes < mostHistory*9/10 {
		t.Errorf("the log has %d bytes, and counts %d", bytes, h.log.bytes)
	}
	if len(h.going) != 0 || len(h.order) != 0 {
		t.Errorf("%d transmissions are remembered that have ended", len(h.going))
	}
	s.Tell(1, copydesk.Event{What: copydesk.Began})
	for i := range mostLines + 100 {
		s.Line(1, i, make([]byte, 4))
	}
	for range 30 {
		s.Print(1, strings.Repeat("A", 500))
		h.flush()
	}
	wide := make([]byte, 10000)
	for id := archive.ID(2); id < 4; id++ {
		s.Tell(id, copydesk.Event{What: copydesk.Began})
		for i := range mostLines {
			s.Line(id, i, wide)
		}
	}
	if n := h.pixels(); n > mostPixels || n < mostPixels-2*len(wide) || h.going[3].chart.rows != (mostPixels-4*mostLines)/len(wide)-mostLines {
		t.Errorf("%d pixels are remembered, %d lines of the last chart", n, h.going[3].chart.rows)
	}
	if g := h.going[1]; g.chart.rows != mostLines || len(g.chart.pixels) != 4*mostLines || len(g.text) > 2*mostText {
		t.Errorf("%d rows, %d characters", g.chart.rows, len(g.text))
	}
}

// Receivers are told of when something of them changes that stays, and their levels each second to those who want them.
func TestReceivers(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, h := newHub()
		ctx, cancel := context.WithCancel(t.Context())
		var running sync.WaitGroup
		running.Go(func() { h.Run(ctx) })
		defer running.Wait()
		defer cancel()
		state := station.Status{Name: "north", Connected: true, Rate: 12000, Level: &station.Level{RMS: -20}}
		s.SetStatus(state)
		c, other := h.Join(0), h.Join(0)
		c.Want(Want{Levels: true})
		time.Sleep(5500 * time.Millisecond)
		for range 5 {
			state.Samples += 12000
			s.SetStatus(state)
			time.Sleep(time.Second)
		}
		state.Connected = false
		s.SetStatus(state)
		time.Sleep(time.Second)
		count := func(c *Client) (all string) {
			for _, v := range waiting(t, c) {
				all += v.What + " "
			}
			return all
		}
		if got := count(c); got != "hello receivers receivers levels " { // of which the latest waits
			t.Error(got)
		}
		if got := count(other); got != "hello receivers receivers " {
			t.Error(got)
		}
	})
}

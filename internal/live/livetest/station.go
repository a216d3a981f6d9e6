// Package livetest has a station for tests of what listens to one: it tells what the test says.
package livetest

import (
	"fmt"
	"slices"
	"sync"
	"time"

	"ionoscribe/copydesk"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/station"
)

// Begin is when the station's time begins.
var Begin = time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)

// Station tells its followers, in the caller's goroutine, as a station does in a receiver's.
type Station struct {
	mutex     sync.Mutex
	followers []func(station.News)
	taps      []station.Tap
	status    []station.Status
}

// Follow has f hear all news.
func (s *Station) Follow(f func(station.News)) { s.followers = append(s.followers, f) }

// Tap has t take all samples.
func (s *Station) Tap(t station.Tap) { s.taps = append(s.taps, t) }

// Time is always the same.
func (s *Station) Time() time.Time { return Begin }

// Name is invented.
func (s *Station) Name() (name, place string) { return "Test station", "Lighthouse" }

// Status is what SetStatus has set.
func (s *Station) Status() []station.Status {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return slices.Clone(s.status)
}

// SetStatus sets that of all receivers.
func (s *Station) SetStatus(all ...station.Status) {
	s.mutex.Lock()
	s.status = all
	s.mutex.Unlock()
}

// Transmission is one of receiver north, with a number.
func Transmission(id archive.ID) archive.Transmission {
	return archive.Transmission{ID: id, Receiver: "north", Source: "test", Mode: "rtty", Begun: Begin, Ended: Begin, OnAir: true, Hz: 7_880_100, LowHz: 7_879_800, HighHz: 7_880_400,
		TimeFrom: "clock", Copied: true, Title: fmt.Sprintf("Transmission %d", id)}
}

// Tell tells of an event of a transmission; with 0 of none.
func (s *Station) Tell(id archive.ID, e copydesk.Event) {
	n := station.News{Event: e}
	if n.Source = "north"; id != 0 {
		n.Transmission = Transmission(id)
	}
	if n.UTC.IsZero() {
		n.UTC = Begin
	}
	s.News(n)
}

// Print tells of the characters of a text.
func (s *Station) Print(id archive.ID, text string) {
	for _, r := range text {
		s.Tell(id, copydesk.Event{What: copydesk.Text, Text: string(r), Confidence: 0.9})
	}
}

// Line tells of a line of a chart.
func (s *Station) Line(id archive.ID, row int, pixels []byte) {
	s.Tell(id, copydesk.Event{What: copydesk.Line, Row: row, Pixels: func() []byte { return pixels }})
}

// News tells news.
func (s *Station) News(n station.News) {
	for _, f := range s.followers {
		f(n)
	}
}

// Samples gives samples of a receiver, the first of which is at an index.
func (s *Station) Samples(receiver string, in *station.Input, at int64, b station.Block) {
	for _, t := range s.taps {
		t(receiver, in, at, b)
	}
}

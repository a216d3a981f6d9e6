package station

import (
	"ionoscribe/copydesk"
	"ionoscribe/internal/archive"
)

// News is an event of a receiver, with what the archive has of it.
type News struct {
	copydesk.Event
	Transmission archive.Transmission // as far as it is known by now; ID 0: the event is none of a transmission
	Chart        int64                // of Saved: its number
	Title        string               // of Saved: that of the chart
	Seconds      float64              // of Gap: how long it was
}

// Saved is the What of a chart that is in the archive.
const Saved copydesk.What = "saved"

// Tap takes a block of a receiver's samples, the first of which is at a sample index. It is called from the receiver's goroutine
// and must not wait; the block is lent until it returns.
type Tap func(receiver string, in *Input, at int64, b Block)

// Follow has f hear all news, one at a time, before Run. It must not wait, nor call the station.
func (s *Station) Follow(f func(News)) { s.journal.follow(f) }

// Tap has t take all samples, before Run.
func (s *Station) Tap(t Tap) { s.taps = append(s.taps, t) }

// follow adds a listener.
func (j *journal) follow(f func(News)) { j.followers = append(j.followers, f) }

// tell tells all listeners.
func (j *journal) tell(n News) {
	j.telling.Lock()
	defer j.telling.Unlock()
	for _, f := range j.followers {
		f(n)
	}
}

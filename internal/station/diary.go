package station

import (
	"context"
	"sync"
	"time"

	"ionoscribe/internal/archive"
	"ionoscribe/internal/programme"
)

// diary is a programme's for several goroutines.
type diary struct {
	mutex   sync.Mutex
	book    *programme.Diary
	entries []programme.Entry
	waits   bool // for the first sample, with which it begins
}

func newDiary(entries []programme.Entry, since time.Time) *diary {
	return &diary{book: programme.NewDiary(entries, since), entries: entries}
}

// memory is how far back a start looks for what an earlier run knew.
const memory = 24 * time.Hour

// openDiary is a diary that knows what the archive does: what has come, and since when nothing was heard.
func (s *Station) openDiary(entries []programme.Entry) *diary {
	now := s.options.Now()
	since := now
	ctx := context.Background()
	incidents, err := s.archive.Incidents(ctx, now.Add(-memory), now)
	if err == nil && len(incidents) > 0 {
		since = incidents[len(incidents)-1].At
	}
	d := newDiary(entries, since)
	if d.waits = s.options.BySamples && len(incidents) == 0; d.waits {
		return d
	}
	known, err := s.archive.Expected(ctx, now.Add(-memory), now.Add(memory))
	if err != nil {
		s.log.Error("what the archive knows of the programme", "error", err)
		return d
	}
	due := programme.Between(entries, now.Add(-memory), now.Add(memory))
	for _, x := range known {
		if x.Outcome == archive.Due {
			continue
		}
		for _, o := range due {
			if o.Key() == x.Key {
				d.take(o, x.Receiver)
			}
		}
	}
	return d
}

// begin begins a diary that waits for it.
func (d *diary) begin(since time.Time) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	if d.waits {
		d.book, d.waits = programme.NewDiary(d.entries, since), false
	}
}

func (d *diary) change(entries []programme.Entry) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	d.entries = entries
	d.book.Change(entries)
}

func (d *diary) match(begun time.Time, receiver string, hz float64, mode string) (programme.Occurrence, bool) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	return d.book.Match(begun, receiver, hz, mode)
}

func (d *diary) giveBack(o programme.Occurrence, receiver string) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	d.book.GiveBack(o, receiver)
}

func (d *diary) take(o programme.Occurrence, receiver string) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	d.book.Take(o, receiver)
}

func (d *diary) missed(now time.Time) []programme.Occurrence {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	if d.waits {
		return nil
	}
	return d.book.Missed(now)
}

// expected is an occurrence as the archive has it.
func expected(o programme.Occurrence, receiver string, outcome archive.Outcome) archive.Expected {
	return archive.Expected{Key: o.Key(), Receiver: receiver, Entry: o.Entry.ID, Title: o.Entry.Title, Mode: o.Entry.Mode, Hz: o.Entry.FrequencyHz,
		At: o.At, Closes: o.Closes, Outcome: outcome}
}

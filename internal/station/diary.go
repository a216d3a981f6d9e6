package station

import (
	"sync"
	"time"

	"ionoscribe/internal/archive"
	"ionoscribe/internal/programme"
)

// diary is a programme's for several goroutines.
type diary struct {
	mutex sync.Mutex
	book  *programme.Diary
}

func newDiary(entries []programme.Entry, since time.Time) *diary {
	return &diary{book: programme.NewDiary(entries, since)}
}

func (d *diary) change(entries []programme.Entry) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	d.book.Change(entries)
}

func (d *diary) match(begun time.Time, receiver string, hz float64, mode string) (programme.Occurrence, bool) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	return d.book.Match(begun, receiver, hz, mode)
}

func (d *diary) giveBack(key, receiver string) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	d.book.GiveBack(key, receiver)
}

func (d *diary) take(key, receiver string) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	d.book.Take(key, receiver)
}

func (d *diary) missed(now time.Time) []programme.Occurrence {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	return d.book.Missed(now)
}

// expected is an occurrence as the archive has it.
func expected(o programme.Occurrence, receiver string, outcome archive.Outcome) archive.Expected {
	return archive.Expected{Key: o.Key(), Receiver: receiver, Entry: o.Entry.ID, Title: o.Entry.Title, Mode: o.Entry.Mode, Hz: o.Entry.FrequencyHz,
		At: o.At, Closes: o.Closes, Outcome: outcome}
}

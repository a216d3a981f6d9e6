package programme

import "time"

// Diary follows a programme: which occurrences were taken by copies, and which passed without one. It is not safe for use by
// several goroutines.
type Diary struct{}

// NewDiary makes one that begins at a time: what is due earlier is not missed.
func NewDiary(entries []Entry, since time.Time) *Diary { return &Diary{} }

// Change puts other entries in the place of those so far; what was taken stays so.
func (d *Diary) Change(entries []Entry) {}

// Match is [Match] among what was not yet taken at this receiver; what it gives is taken.
func (d *Diary) Match(began time.Time, receiver string, frequencyHz float64, mode string) (Occurrence, bool) {
	return Occurrence{}, false
}

// Take says that an occurrence was taken at a receiver, as the archive knows after a start.
func (d *Diary) Take(key, receiver string) {}

// GiveBack says that what took an occurrence at a receiver turned out to be nothing.
func (d *Diary) GiveBack(key, receiver string) {}

// Missed gives the occurrences that nothing took whose window closed before now, each once, in order. All copies that began before now
// must have been matched.
func (d *Diary) Missed(now time.Time) []Occurrence { return nil }

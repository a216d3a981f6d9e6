package programme

import "time"

// Occurrence is one of the times at which an entry is due.
type Occurrence struct {
	Entry  Entry
	At     time.Time // UTC
	Opens  time.Time // UTC, from when on it may begin
	Closes time.Time // UTC, until when it may begin
}

// Key names an occurrence among all of a programme: the entry's ID and its time.
func (o Occurrence) Key() string { return o.Entry.ID + "@" + o.At.UTC().Format("2006-01-02T15:04Z") }

// Ends is when an occurrence is over, if its entry says how long it is, and otherwise its beginning.
func (o Occurrence) Ends() time.Time { return o.At.Add(o.Entry.Length) }

// Between gives the occurrences of which the time is in [from, to), in order.
func Between(entries []Entry, from, to time.Time) []Occurrence { return nil }

// Match picks the occurrence in whose window a copy begins, and with whose mode, receiver and frequency, in Hz on the air, it
// agrees: the nearest in time. A frequency of 0 is not known, and agrees with any.
func Match(occurrences []Occurrence, began time.Time, receiver string, frequencyHz float64, mode string) (Occurrence, bool) {
	return Occurrence{}, false
}

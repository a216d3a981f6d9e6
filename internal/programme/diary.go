package programme

import (
	"slices"
	"time"
)

// Diary follows a programme: which occurrences were taken by copies, and which passed without one. It is not safe for use by
// several goroutines.
type Diary struct {
	entries []Entry
	told    time.Time         // windows that closed earlier were told of
	taken   map[string]taking // by the occurrences' keys, as long as they may be asked for
	back    []Occurrence      // that were given back when it was too late for others
}

// taking is an occurrence that was taken.
type taking struct {
	occurrence Occurrence
	receivers  []string // at which
}

// NewDiary makes one that begins at a time: of what was due until then nothing is missed.
func NewDiary(entries []Entry, since time.Time) *Diary {
	return &Diary{entries: entries, told: since, taken: map[string]taking{}}
}

// Change puts other entries in the place of those so far; what was taken stays so.
func (d *Diary) Change(entries []Entry) { d.entries = entries }

// Match is [Match] among what was not yet taken at this receiver; what it gives is taken.
func (d *Diary) Match(began time.Time, receiver string, frequencyHz float64, mode string) (Occurrence, bool) {
	open := slices.DeleteFunc(Around(d.entries, began, began.Add(1)), func(o Occurrence) bool {
		return slices.Contains(d.taken[o.Key()].receivers, receiver)
	})
	o, ok := Match(open, began, receiver, frequencyHz, mode)
	if ok {
		d.Take(o, receiver)
	}
	return o, ok
}

// Take says that an occurrence was taken at a receiver, as the archive knows after a start.
func (d *Diary) Take(o Occurrence, receiver string) {
	d.taken[o.Key()] = taking{o, append(d.taken[o.Key()].receivers, receiver)}
}

// GiveBack says that what took an occurrence at a receiver turned out to be nothing.
func (d *Diary) GiveBack(o Occurrence, receiver string) {
	t, ok := d.taken[o.Key()]
	if !ok {
		return
	}
	t.receivers = slices.DeleteFunc(t.receivers, func(r string) bool { return r == receiver })
	d.taken[o.Key()] = t
	if len(t.receivers) > 0 {
		return
	}
	delete(d.taken, o.Key())
	if o.Closes.Before(d.told) {
		d.back = append(d.back, o)
	}
}

// Missed gives the occurrences that nothing took and whose windows have closed before now, each once, in order. All copies that
// began before now must have been matched. A clock that was put back tells nothing twice.
func (d *Diary) Missed(now time.Time) (missed []Occurrence) {
	missed, d.back = d.back, nil
	if !now.After(d.told) {
		return missed
	}
	for _, o := range Around(d.entries, d.told, now) {
		if o.Closes.Before(now) && len(d.taken[o.Key()].receivers) == 0 {
			missed = append(missed, o)
		}
	}
	d.told = now
	for key, t := range d.taken {
		if t.occurrence.Closes.Before(now.Add(-keepTaken)) {
			delete(d.taken, key)
		}
	}
	return missed
}

// keepTaken is for how long after its window an occurrence is known to be taken: for copies that are told late, and for a clock that
// is put back by an hour or two.
const keepTaken = 24 * time.Hour

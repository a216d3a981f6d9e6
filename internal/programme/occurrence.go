package programme

import (
	"math"
	"slices"
	"time"
)

// Occurrence is one of the times at which an entry is due.
type Occurrence struct {
	Entry  Entry
	At     time.Time // UTC
	Opens  time.Time // UTC, from when on it may begin
	Closes time.Time // UTC, until when it may begin
}

// Key names an occurrence among all of a programme: the entry's ID and its time.
func (o Occurrence) Key() string { return o.Entry.ID + "@" + o.At.Format(instantForm) }

// Ends is when an occurrence is over, if its entry says how long it is, and otherwise its time.
func (o Occurrence) Ends() time.Time { return o.At.Add(o.Entry.Length) }

func (e Entry) early() time.Duration { return orElse(e.Early, DefaultEarly) }
func (e Entry) late() time.Duration  { return orElse(e.Late, DefaultLate) }
func (e Entry) withinHz() float64    { return orElse(e.WithinHz, DefaultWithinHz) }

func orElse[T comparable](value, other T) T {
	var none T
	if value == none {
		return other
	}
	return value
}

// Between gives the occurrences of which the time is in [from, to), in order.
func Between(entries []Entry, from, to time.Time) (all []Occurrence) {
	for i := range entries {
		e := &entries[i]
		for _, at := range e.between(from.UTC(), to.UTC()) {
			all = append(all, Occurrence{*e, at, at.Add(-e.early()), at.Add(e.late())})
		}
	}
	slices.SortStableFunc(all, func(a, b Occurrence) int { return a.At.Compare(b.At) })
	return all
}

// Around gives the occurrences whose windows hold a time of [from, to), in order.
func Around(entries []Entry, from, to time.Time) []Occurrence {
	var early, late time.Duration
	for _, e := range entries {
		early, late = max(early, e.early()), max(late, e.late())
	}
	all := Between(entries, from.Add(-late), to.Add(early))
	return slices.DeleteFunc(all, func(o Occurrence) bool { return o.Closes.Before(from) || !o.Opens.Before(to) })
}

// between gives the times of an entry in [from, to), in UTC, in order.
func (e *Entry) between(from, to time.Time) (times []time.Time) {
	zone := e.zone()
	// Clocks differ from UTC by less than a day, and so does a time that they leave out.
	first, last := wallOf(from, zone).Add(-24*time.Hour), wallOf(to, zone).Add(24*time.Hour)
	for _, c := range e.Times {
		for _, wall := range e.walls(c, first, last, zone) {
			times = append(times, instant(wall, zone))
		}
	}
	times = append(times, e.Also...)
	times = slices.DeleteFunc(times, func(t time.Time) bool {
		return t.Before(from) || !t.Before(to) || slices.ContainsFunc(e.Except, t.Equal)
	})
	slices.SortFunc(times, time.Time.Compare)
	return slices.CompactFunc(times, time.Time.Equal)
}

// walls gives the wall times in [first, last) that an entry's time of the day has.
func (e *Entry) walls(c Clock, first, last time.Time, zone *time.Location) (walls []time.Time) {
	if e.Rule != "" {
		r, err := newRule(e.Rule, e.From.wall(c), zone)
		if err != nil {
			return nil // Check tells
		}
		return r.between(first, last)
	}
	if from := e.From.wall(c); !e.From.IsZero() && from.After(first) {
		first = from
	}
	if end := e.To.wall(24 * 60); !e.To.IsZero() && end.Before(last) {
		last = end
	}
	for wall := dateOf(first).wall(c); wall.Before(last); wall = wall.Add(24 * time.Hour) {
		if !wall.Before(first) && e.Days.Has(wall.Weekday()) {
			walls = append(walls, wall)
		}
	}
	return walls
}

// Match picks the occurrence in whose window a copy begins, and with whose mode, receiver and frequency, in Hz on the air, it
// agrees: the nearest in time, and then in frequency. A frequency of 0 is not known, and agrees with any.
func Match(occurrences []Occurrence, began time.Time, receiver string, frequencyHz float64, mode string) (best Occurrence, found bool) {
	for _, o := range occurrences {
		if o.agrees(began, receiver, frequencyHz, mode) && (!found || o.nearer(best, began, frequencyHz)) {
			best, found = o, true
		}
	}
	return best, found
}

func (o Occurrence) agrees(began time.Time, receiver string, frequencyHz float64, mode string) bool {
	e := &o.Entry
	return !began.Before(o.Opens) && !began.After(o.Closes) &&
		(e.Mode == "" || e.Mode == mode) &&
		(len(e.Receivers) == 0 || slices.Contains(e.Receivers, receiver)) &&
		e.offHz(frequencyHz) <= e.withinHz()
}

// nearer says that an occurrence is nearer to the beginning of a copy than another.
func (o Occurrence) nearer(than Occurrence, began time.Time, frequencyHz float64) bool {
	a, b := began.Sub(o.At).Abs(), began.Sub(than.At).Abs()
	return a < b || a == b && o.Entry.offHz(frequencyHz) < than.Entry.offHz(frequencyHz)
}

// offHz is how far a frequency is from that of an entry; 0 if one of them is not known.
func (e *Entry) offHz(hz float64) float64 {
	if e.FrequencyHz == 0 || hz == 0 {
		return 0
	}
	return math.Abs(hz - e.FrequencyHz)
}

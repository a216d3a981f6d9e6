package programme

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"ionoscribe/internal/fault"
)

// Properties of a VEVENT for what iCalendar does not know (RFC 5545, 3.8.8.2), by the columns that they are.
var xProperties = map[string]string{
	"id":        "X-IONOSCRIBE-ID", // of the entry, of which each time of the day is a VEVENT
	"frequency": "X-IONOSCRIBE-FREQUENCY",
	"mode":      "X-IONOSCRIBE-MODE",
	"receivers": "X-IONOSCRIBE-RECEIVERS",
	"early":     "X-IONOSCRIBE-EARLY",
	"late":      "X-IONOSCRIBE-LATE",
	"within":    "X-IONOSCRIBE-WITHIN",
}

// xOpen is TRUE of an entry without a first day.
const xOpen = "X-IONOSCRIBE-OPEN"

// ReadICalendar reads entries from iCalendar (RFC 5545): the VEVENTs, with RRULE, RDATE, EXDATE, RECURRENCE-ID and STATUS. A time with
// TZID is one of that zone, which has to have an IANA name; one without zone is UTC. Seconds are dropped. Frequency and mode are
// those that [WriteICalendar] writes, or else the first frequency with a unit, and the first name of a mode, in CATEGORIES,
// LOCATION, SUMMARY and DESCRIPTION. Events that differ in the time of the day only are one entry.
//
// What is wrong is an error of type [fault.Problems], with the name of the file and the line at which the event begins; the
// entries are those of all other events.
func ReadICalendar(r io.Reader, file string, names Names) ([]Entry, error) {
	text, err := readAll(r)
	if err != nil {
		return nil, err
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	cal, err := ics.ParseCalendarWithOptions(bytes.NewReader(text), ics.WithUnknownPropertyHandler(ics.AcceptUnknownPropertyHandler))
	if err != nil || len(cal.Components)+len(cal.CalendarProperties) == 0 {
		why := "it is not iCalendar"
		if err != nil {
			why += ": " + err.Error()
		}
		return nil, fault.Problems{{File: file, Message: why, Mend: "export it anew from the calendar"}}
	}
	var p fault.Problems
	lines := eventLines(text)
	var events []*event
	for i, v := range cal.Events() {
		e := &event{ComponentBase: v.ComponentBase}
		if i < len(lines) {
			e.line = lines[i]
		}
		for _, w := range e.read(names) {
			p = append(p, fault.Problem{File: file, Line: e.line, Message: fmt.Sprintf("the event %q: %s", e.name(), w.Message), Mend: w.Mend})
		}
		if !e.bad {
			events = append(events, e)
		}
	}
	replace(events)
	return joined(events), p.Err()
}

// eventLines are the lines, from 1, at which events begin.
func eventLines(text []byte) (at []int) {
	n := 0
	for line := range bytes.Lines(text) {
		n++
		if strings.EqualFold(string(bytes.TrimSpace(line)), "BEGIN:VEVENT") {
			at = append(at, n)
		}
	}
	return at
}

// replace takes out the occurrences in whose place other events are, or which are cancelled.
func replace(events []*event) {
	for _, e := range events {
		if e.replaces.IsZero() {
			continue
		}
		for _, of := range events {
			if of.replaces.IsZero() && of.value("UID") == e.value("UID") {
				of.entry.Except = append(of.entry.Except, e.replaces)
				e.entry.ID = of.entry.ID + e.replaces.Format("-20060102T1504")
			}
		}
	}
}

// joined are the entries of events, each of which has an ID of its own.
func joined(events []*event) []Entry {
	var entries []Entry
	ids := map[string]int{}
	for _, e := range events {
		if e.value("STATUS") == "CANCELLED" {
			continue
		}
		if i, ok := ids[e.entry.ID]; ok && entries[i].join(e.entry) {
			continue
		} else if ok {
			e.entry.ID = freeID(e.entry.ID, ids)
		}
		slices.SortFunc(e.entry.Except, time.Time.Compare)
		ids[e.entry.ID] = len(entries)
		entries = append(entries, e.entry)
	}
	return entries
}

func freeID(id string, ids map[string]int) string {
	for n := 2; ; n++ {
		free := fmt.Sprintf("%s-%d", id, n)
		if _, taken := ids[free]; !taken {
			return free
		}
	}
}

// join adds the times of an entry to those of another one that is otherwise the same.
func (e *Entry) join(other Entry) bool {
	if !e.same(other) {
		return false
	}
	e.Times = union(e.Times, other.Times, func(a, b Clock) int { return int(a - b) })
	e.Except = union(e.Except, other.Except, time.Time.Compare)
	e.Also = union(e.Also, other.Also, time.Time.Compare)
	return true
}

// same says that entries differ in times only.
func (e *Entry) same(other Entry) bool {
	for _, c := range columns {
		switch c.name {
		case "times", "except", "also":
		default:
			if c.text(e) != c.text(&other) {
				return false
			}
		}
	}
	return true
}

func union[T any](a, b []T, compare func(T, T) int) []T {
	all := slices.Concat(a, b)
	slices.SortFunc(all, compare)
	return slices.CompactFunc(all, func(a, b T) bool { return compare(a, b) == 0 })
}

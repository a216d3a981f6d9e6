// Package programme knows what is expected when.
//
//	CSV, iCalendar, station.toml ─► Entry ─ Between ─► Occurrence ─ Match ─► the one that a copy is
//	                                  │                     ├ Diary: each is taken once, or missed
//	                                  │                     └ Table, JSON
//	                                  └─► CSV, iCalendar
//
// entry.go has the types, columns.go their forms as text, check.go what is wrong with them; zone.go and rule.go reckon with clocks
// and recurrence rules; csv.go, icalread.go, icalevent.go and icalwrite.go read and write files.
//
// An entry is what a broadcaster's schedule has in a line: times of the day, days of the week, from when until when, frequency,
// mode, title. An occurrence is one of the times at which it is due. All times are UTC, but for entries that say which zone theirs
// are of, as those of a calendar may; their occurrences are UTC too.
package programme

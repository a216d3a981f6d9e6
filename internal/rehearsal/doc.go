// Package rehearsal has a station keep watch over invented days of which all is known: what each receiver hears is made as it is
// asked for, and the quiet hours between are left out, so that a month takes less than an hour.
//
//	Plan ─ days.go: who sends what, when ─► broadcasts ─ input.go ─► station.Input: pieces of sound around each
//	broadcasts, archive ─ judge.go ─► Result: what was filed rightly, what was not
package rehearsal

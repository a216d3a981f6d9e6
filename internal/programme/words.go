package programme

import (
	"errors"
	"fmt"
	"math/bits"
	"strings"
	"time"
)

// What a text is not, as the end of a sentence.
var (
	errClock   = errors.New("is not a time of the day such as 06:30")
	errDays    = errors.New("are not days of the week such as Mon Wed or Mon-Fri")
	errDate    = errors.New("is not a day such as 2026-11-27")
	errInstant = errors.New("is not a time (UTC) such as 2026-11-27T06:30Z")
)

// ParseClock reads a time of the day: 06:30 or 0630.
func ParseClock(s string) (Clock, error) {
	for _, form := range []string{"15:04", "1504"} {
		if t, err := time.Parse(form, s); err == nil && len(s) == len(form) {
			return Clock(t.Hour()*60 + t.Minute()), nil
		}
	}
	return 0, errClock
}

func (c Clock) String() string { return fmt.Sprintf("%02d:%02d", c/60, c%60) }

// weekdays from Sunday on, as they are written.
var weekdays = []string{"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"}

const allDays Days = 1<<7 - 1

// ParseDays reads days of the week, with spaces or commas between, and ranges of them: Mon Wed, Fri-Sun. None are all.
func ParseDays(s string) (days Days, err error) {
	for _, word := range split(s) {
		first, last, ranged := strings.Cut(word, "-")
		a, ok := weekday(first)
		b := a
		if ranged && ok {
			b, ok = weekday(last)
		}
		if !ok {
			return 0, errDays
		}
		for d := a; ; d = (d + 1) % 7 {
			days |= 1 << d
			if d == b {
				break
			}
		}
	}
	if days == allDays {
		days = 0
	}
	return days, nil
}

// weekday reads a name of a day, or the beginning of one with three letters at least.
func weekday(s string) (time.Weekday, bool) {
	for d := range time.Weekday(7) {
		if name := d.String(); len(s) >= 3 && len(s) <= len(name) && strings.EqualFold(name[:len(s)], s) {
			return d, true
		}
	}
	return 0, false
}

func (d Days) String() string {
	var names []string
	for i := range 7 {
		if day := (i + 1) % 7; d&(1<<day) != 0 { // from Monday on
			names = append(names, weekdays[day])
		}
	}
	return strings.Join(names, " ")
}

// Has says whether a day is among them.
func (d Days) Has(w time.Weekday) bool { return d == 0 || d&(1<<w) != 0 }

// Number is how many there are in a week.
func (d Days) Number() int {
	if d == 0 {
		return 7
	}
	return bits.OnesCount8(uint8(d))
}

// ParseDate reads a day: 2026-11-27.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return Date{}, errDate
	}
	return dateOf(t), nil
}

func (d Date) String() string {
	if d == (Date{}) {
		return ""
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day)
}

// IsZero says that it is none.
func (d Date) IsZero() bool { return d == Date{} }

// Before says that it is earlier than another.
func (d Date) Before(other Date) bool { return d.wall(0).Before(other.wall(0)) }

func dateOf(t time.Time) Date {
	year, month, day := t.Date()
	return Date{year, month, day}
}

// parseInstant reads a time in UTC.
func parseInstant(s string) (time.Time, error) {
	for _, form := range []string{instantForm, time.RFC3339} {
		if t, err := time.Parse(form, s); err == nil {
			return t.UTC(), nil
		}
	}
	return time.Time{}, errInstant
}

const instantForm = "2006-01-02T15:04Z"

// split takes a list with spaces or commas between apart.
func split(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == ',' || r == '\t' || r == '\n' })
}

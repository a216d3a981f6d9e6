package programme

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/teambition/rrule-go"
)

// rule is a recurrence rule that counts from some wall time.
type rule struct {
	rrule.ROption
}

// newRule reads a rule of RFC 5545, 3.3.10. An end in UTC is one in the zone of the entry by then.
func newRule(text string, from time.Time, zone *time.Location) (r rule, err error) {
	option, err := rrule.StrToROptionInLocation(strings.ToUpper(text), time.UTC)
	if err != nil {
		return r, errors.New(strings.TrimPrefix(err.Error(), "RRULE "))
	}
	r.ROption = *option
	until := ""
	for _, part := range strings.Split(strings.ToUpper(text), ";") {
		name, value, _ := strings.Cut(part, "=")
		switch name {
		case "DTSTART", "BYEASTER":
			return r, fmt.Errorf("%s is no part of a rule", name)
		case "BYSECOND":
			return r, errors.New("BYSECOND: a programme has no seconds")
		case "INTERVAL", "COUNT":
			if n, err := strconv.Atoi(value); err != nil || n < 1 || n > mostTimes {
				return r, fmt.Errorf("%s is from 1 to %d", name, mostTimes)
			}
		case "UNTIL":
			until = value
		}
	}
	switch {
	case r.Freq == rrule.SECONDLY:
		return r, errors.New("FREQ=SECONDLY: a programme has no seconds")
	case r.Count > 0 && until != "":
		return r, errors.New("COUNT and UNTIL do not go together")
	case strings.HasSuffix(until, "Z"):
		r.Until = wallOf(r.Until, zone)
	case until != "" && !strings.Contains(until, "T"): // a whole day
		r.Until = r.Until.Add(24*time.Hour - time.Second)
	}
	r.Dtstart = from
	if _, err = rrule.NewRRule(r.ROption); err == nil && !r.reaches() {
		err = errors.New("it never happens")
	}
	return r, err
}

// mostTimes of a COUNT, and units of an INTERVAL, are more than any programme has, and little work.
const mostTimes = 10000

// reaches says that a rule of hours or minutes comes to one of its BYHOUR and BYMINUTE, without which the library would count for
// ever.
func (r rule) reaches() bool {
	step := max(r.Interval, 1)
	switch r.Freq {
	case rrule.HOURLY:
		step *= 60
	case rrule.MINUTELY:
	default:
		return true
	}
	for n := range 24 * 60 { // by then the times of the day come again
		minute := r.Dtstart.Hour()*60 + r.Dtstart.Minute() + n*step
		if among(r.Byhour, minute/60%24) && (r.Freq == rrule.HOURLY || among(r.Byminute, minute%60)) {
			return true
		}
	}
	return false
}

// among says that a value is one of a BY list, of which an empty one has all.
func among(list []int, value int) bool { return len(list) == 0 || slices.Contains(list, value) }

// happens says that a rule has an occurrence at all. It may take half a second if not.
func (r rule) happens() bool {
	all, err := rrule.NewRRule(r.ROption)
	if err != nil {
		return false
	}
	_, ok := all.Iterator()()
	return ok
}

// between gives the wall times of a rule in [from, to), in order.
func (r rule) between(from, to time.Time) []time.Time {
	r.skipTo(from)
	if end := to.Add(-time.Second); r.Until.IsZero() || end.Before(r.Until) {
		r.Until = end
	}
	if r.Until.Before(r.Dtstart) {
		return nil
	}
	all, err := rrule.NewRRule(r.ROption)
	if err != nil {
		return nil // newRule has told
	}
	return all.Between(from, to.Add(-time.Second), true)
}

// skipTo has a rule count from later on, a whole number of intervals, where that changes nothing but the time that it takes.
func (r *rule) skipTo(t time.Time) {
	if r.Count > 0 || !t.After(r.Dtstart) {
		return
	}
	interval := max(r.Interval, 1)
	// One interval less, since weeks and months begin before their days.
	steps := func(whole int) int { return max(0, whole/interval-1) * interval }
	var unit time.Duration
	switch r.Freq {
	case rrule.MONTHLY:
		if r.Dtstart.Day() <= 28 { // which all have
			months := (t.Year()-r.Dtstart.Year())*12 + int(t.Month()-r.Dtstart.Month())
			r.Dtstart = r.Dtstart.AddDate(0, steps(months), 0)
		}
		return
	case rrule.WEEKLY:
		unit = 7 * 24 * time.Hour
	case rrule.DAILY:
		unit = 24 * time.Hour
	case rrule.HOURLY:
		unit = time.Hour
	case rrule.MINUTELY:
		unit = time.Minute
	}
	if unit > 0 {
		r.Dtstart = r.Dtstart.Add(time.Duration(steps(int(t.Sub(r.Dtstart)/unit))) * unit)
	}
}

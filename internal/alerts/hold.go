package alerts

import (
	"slices"
	"time"
)

const dayMinutes = 24 * 60

// contains says whether a minute of the day is within.
func (h Hours) contains(minute int) bool {
	if h.From < h.To {
		return minute >= h.From && minute < h.To
	}
	return minute >= h.From || minute < h.To // over midnight
}

func isQuiet(quiet []Hours, minute int) bool {
	return slices.ContainsFunc(quiet, func(h Hours) bool { return h.contains(minute) })
}

// quietUntil is the end of the quiet hours that t is in, or t: it is in none.
func quietUntil(quiet []Hours, t time.Time) time.Time {
	u := t.UTC()
	minute := u.Hour()*60 + u.Minute()
	if !isQuiet(quiet, minute) {
		return t
	}
	for n := 1; n < dayMinutes; n++ {
		if !isQuiet(quiet, (minute+n)%dayMinutes) {
			return u.Truncate(time.Minute).Add(time.Duration(n) * time.Minute)
		}
	}
	return t // all day: Check does not let it pass
}

// holds says whether a rule holds alerts back at a time, the last one having been made at another. One that was made later than
// now was made before the clock was put back; it holds nothing.
func (r *Rule) holds(now, last time.Time) bool {
	if !quietUntil(r.Quiet, now).Equal(now) {
		return true
	}
	since := now.Sub(last)
	return since >= 0 && since < time.Duration(r.LeastInterval)
}

package programme

import (
	"fmt"
	"time"
	_ "time/tzdata" // where the system has no time zones
)

// A wall time is what clocks in a zone show, written as if it were UTC, so that it can be reckoned with.

func (d Date) wall(c Clock) time.Time {
	return time.Date(d.Year, d.Month, d.Day, 0, int(c), 0, 0, time.UTC)
}

// instant is when clocks of a zone show a wall time. One that they show twice is the first; one that they leave out is what it
// would have been without the change (RFC 5545, 3.3.5).
func instant(wall time.Time, zone *time.Location) time.Time {
	early, late := offset(wall.Add(-24*time.Hour), zone), offset(wall.Add(24*time.Hour), zone)
	for _, o := range []time.Duration{early, late} {
		if t := wall.Add(-o); offset(t, zone) == o {
			return t
		}
	}
	return wall.Add(-early)
}

// offset is how far clocks of a zone are ahead of UTC.
func offset(t time.Time, zone *time.Location) time.Duration {
	_, seconds := t.In(zone).Zone()
	return time.Duration(seconds) * time.Second
}

// wallOf is what clocks of a zone show at a time.
func wallOf(t time.Time, zone *time.Location) time.Time {
	return t.UTC().Add(offset(t, zone))
}

// zone is that of an entry; UTC if it is not known, which Check tells.
func (e *Entry) zone() *time.Location {
	if zone, err := loadZone(e.Zone); err == nil {
		return zone
	}
	return time.UTC
}

// loadZone finds a zone; "" is UTC. That of the system is none, since it differs from one to the next.
func loadZone(name string) (*time.Location, error) {
	if name == "Local" {
		return nil, fmt.Errorf("unknown time zone %s", name)
	}
	return time.LoadLocation(name)
}

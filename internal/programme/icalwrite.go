package programme

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"ionoscribe/internal/quantity"
)

const (
	utcForm  = "20060102T150405Z"
	wallForm = "20060102T150405"
)

// WriteICalendar writes entries as iCalendar (RFC 5545), each time of the day of each as a VEVENT. An entry without a first day begins
// now. Of zones other than UTC, the changes until zoneYears from now are written.
func WriteICalendar(w io.Writer, entries []Entry, now time.Time) error {
	cal := ics.NewCalendar()
	cal.SetProductId("-//Ionoscribe//Programme//EN")
	zones := map[string]bool{}
	for i := range entries {
		e := &entries[i]
		if name := e.Zone; name != "" && !zones[name] {
			zones[name] = true
			cal.AddVTimezone(zoneComponent(e.zone(), name, firstWall(entries, name, now), now))
		}
	}
	for i := range entries {
		for _, v := range entries[i].events(now) {
			cal.AddVEvent(v)
		}
	}
	return cal.SerializeTo(w, ics.WithNewLine("\r\n"))
}

// zoneYears is how long calendars are expected to be used before they are exported anew.
const zoneYears = 10

// events are the VEVENTs of an entry.
func (e *Entry) events(now time.Time) (events []*ics.VEvent) {
	zone := e.zone()
	also := e.Also
	for _, c := range e.Times {
		start, ok := e.firstWall(c, now)
		if !ok {
			continue // it never happens
		}
		v := e.event(c.compact(), now)
		e.setTime(v, "DTSTART", start)
		if rule := e.ruleFrom(c, zone); rule != "" {
			v.AddRrule(rule)
		}
		if e.Rule == "" && e.From.IsZero() {
			v.AddProperty(xOpen, "TRUE")
		}
		for _, t := range e.Except {
			if wall := wallOf(t, zone); dateOf(wall).wall(c).Equal(wall) {
				e.setTime(v, "EXDATE", wall)
			}
		}
		for _, t := range also {
			e.setTime(v, "RDATE", wallOf(t, zone))
		}
		also = nil
		events = append(events, v)
	}
	if len(also) > 0 {
		v := e.event("also", now)
		e.setTime(v, "DTSTART", wallOf(also[0], zone))
		for _, t := range also[1:] {
			e.setTime(v, "RDATE", wallOf(t, zone))
		}
		events = append(events, v)
	}
	return events
}

// event is a VEVENT with all but times.
func (e *Entry) event(suffix string, now time.Time) *ics.VEvent {
	v := ics.NewEvent(e.ID + "-" + suffix + "@ionoscribe")
	v.SetDtStampTime(now)
	title := e.Title
	if title == "" {
		title = e.ID
	}
	v.SetSummary(title)
	var known []string
	if e.FrequencyHz != 0 {
		known = append(known, quantity.KHz(e.FrequencyHz))
	}
	if e.Mode != "" {
		known = append(known, e.Mode)
	}
	if known != nil {
		v.SetDescription(strings.Join(known, ", "))
	}
	v.SetTimeTransparency(ics.TransparencyTransparent) // nobody is busy meanwhile
	if e.Length > 0 {
		v.AddProperty("DURATION", lengthText(e.Length))
	}
	for _, c := range columns {
		if property, ok := xProperties[c.name]; ok && c.text(e) != "" {
			v.AddProperty(ics.ComponentProperty(property), c.text(e))
		}
	}
	return v
}

// setTime adds a time, in UTC or in the zone of the entry.
func (e *Entry) setTime(v *ics.VEvent, property ics.ComponentProperty, wall time.Time) {
	if e.Zone == "" {
		v.AddProperty(property, wall.Format(utcForm))
		return
	}
	v.AddProperty(property, wall.Format(wallForm), ics.WithTZID(e.Zone))
}

func (c Clock) compact() string { return strings.ReplaceAll(c.String(), ":", "") }

// firstWall is the first wall time that a time of the day has; not before today for an entry without a first day.
func (e *Entry) firstWall(c Clock, now time.Time) (time.Time, bool) {
	first := e.From
	if first.IsZero() {
		first = dateOf(wallOf(now, e.zone()))
	}
	if e.Rule != "" {
		return first.wall(c), true
	}
	for range 7 {
		wall := first.wall(c)
		if e.Days.Has(wall.Weekday()) {
			return wall, e.To.IsZero() || !e.To.Before(first)
		}
		first = dateOf(wall.Add(24 * time.Hour))
	}
	return time.Time{}, false
}

// dayCodes are those of BYDAY, from Sunday on.
var dayCodes = []string{"SU", "MO", "TU", "WE", "TH", "FR", "SA"}

// ruleFrom is the RRULE of a time of the day; "" if it happens once.
func (e *Entry) ruleFrom(c Clock, zone *time.Location) string {
	until := func(wall time.Time) string { return "UNTIL=" + instant(wall, zone).Format(utcForm) }
	switch {
	case e.Rule != "":
		r, err := newRule(e.Rule, e.From.wall(c), zone)
		if err != nil || r.Until.IsZero() {
			return e.Rule
		}
		parts := strings.Split(e.Rule, ";")
		i := slices.IndexFunc(parts, func(p string) bool { return strings.HasPrefix(p, "UNTIL=") })
		parts[i] = until(r.Until)
		return strings.Join(parts, ";")
	case e.From == e.To && !e.From.IsZero():
		return ""
	}
	rule := "FREQ=DAILY"
	if e.Days != 0 {
		var codes []string
		for i := range 7 {
			if d := (i + 1) % 7; e.Days&(1<<d) != 0 {
				codes = append(codes, dayCodes[d])
			}
		}
		rule = "FREQ=WEEKLY;BYDAY=" + strings.Join(codes, ",")
	}
	if !e.To.IsZero() {
		rule += ";" + until(e.To.wall(c))
	}
	return rule
}

// lengthText is a DURATION (RFC 5545, 3.3.6).
func lengthText(d time.Duration) string {
	h, m, s := int(d.Hours()), int(d.Minutes())%60, int(d.Seconds())%60
	text := "PT"
	if h > 0 {
		text += fmt.Sprintf("%dH", h)
	}
	if m > 0 || h > 0 && s > 0 { // no unit is left out between two
		text += fmt.Sprintf("%dM", m)
	}
	if s > 0 || h == 0 && m == 0 {
		text += fmt.Sprintf("%dS", s)
	}
	return text
}

// firstWall is the first time of entries in a zone.
func firstWall(entries []Entry, zone string, now time.Time) time.Time {
	first := now
	for _, e := range entries {
		if e.Zone == zone && !e.From.IsZero() && e.From.wall(0).Before(first) {
			first = e.From.wall(0)
		}
		for _, t := range e.Also {
			if e.Zone == zone && t.Before(first) {
				first = t
			}
		}
	}
	return first
}

// zoneComponent is a VTIMEZONE with each change of a zone by itself.
func zoneComponent(zone *time.Location, name string, first, now time.Time) *ics.VTimezone {
	v := ics.NewTimezone(name)
	t := first.AddDate(0, 0, -1).In(zone)
	for {
		begin, end := t.ZoneBounds()
		abbreviation, to := t.Zone()
		from, wall := to, time.Unix(0, 0).UTC() // as it was for ever
		if !begin.IsZero() {
			_, from = begin.Add(-time.Second).Zone()
			wall = begin.UTC().Add(time.Duration(from) * time.Second)
		}
		c := ics.ComponentBase{}
		c.AddProperty("DTSTART", wall.Format(wallForm))
		c.AddProperty("TZOFFSETFROM", offsetText(from))
		c.AddProperty("TZOFFSETTO", offsetText(to))
		c.AddProperty("TZNAME", abbreviation)
		if t.IsDST() {
			v.Components = append(v.Components, &ics.Daylight{ComponentBase: c})
		} else {
			v.Components = append(v.Components, &ics.Standard{ComponentBase: c})
		}
		if end.IsZero() || end.After(now.AddDate(zoneYears, 0, 0)) {
			return v
		}
		t = end
	}
}

// offsetText is a UTC-OFFSET (RFC 5545, 3.3.14).
func offsetText(seconds int) string {
	sign := '+'
	if seconds < 0 {
		sign, seconds = '-', -seconds
	}
	text := fmt.Sprintf("%c%02d%02d", sign, seconds/3600, seconds/60%60)
	if s := seconds % 60; s != 0 {
		text += fmt.Sprintf("%02d", s)
	}
	return text
}

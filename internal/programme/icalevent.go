package programme

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"
	"github.com/teambition/rrule-go"

	"ionoscribe/internal/fault"
	"ionoscribe/internal/quantity"
)

// event is a VEVENT.
type event struct {
	ics.ComponentBase
	line     int // at which it begins
	entry    Entry
	replaces time.Time // occurrence of another event of its UID, UTC; zero: none
	bad      bool      // something is wrong with it
}

// all gives the properties of a name, which has no case.
func (v *event) all(name string) (all []ics.BaseProperty) {
	for _, p := range v.Properties {
		if strings.EqualFold(p.IANAToken, name) {
			all = append(all, p.BaseProperty)
		}
	}
	return all
}

// value is that of the first property of a name, without blanks around; "" if there is none.
func (v *event) value(name string) string {
	if all := v.all(name); len(all) > 0 {
		return strings.TrimSpace(all[0].Value)
	}
	return ""
}

// name is what a user knows an event by.
func (v *event) name() string {
	for _, property := range []string{"SUMMARY", "UID"} {
		if s := fault.OneLine(v.value(property)); s != "" {
			return s
		}
	}
	return "without a name"
}

// read makes the entry of an event.
func (v *event) read(names Names) []Wrong {
	wrong := v.readTimes()
	if len(wrong) == 0 {
		wrong = v.readRest(names)
	}
	if len(wrong) == 0 {
		wrong = v.entry.Complete(names)
	}
	v.bad = len(wrong) > 0
	return wrong
}

func (v *event) readTimes() []Wrong {
	e := &v.entry
	starts := v.all("DTSTART")
	if len(starts) != 1 {
		return []Wrong{{Message: "it has no beginning, DTSTART", Mend: "remove it, or give it one"}}
	}
	start, err := readMoments(starts[0])
	switch {
	case err != nil:
		return wrongMoment(starts[0], err)
	case len(start) != 1 || start[0].allDay:
		return []Wrong{{Message: "it is of a whole day", Mend: "give it a time, or remove it"}}
	}
	zone := start[0].zone
	if zone != time.UTC {
		e.Zone = zone.String()
	}
	wall := start[0].wall
	c := Clock(wall.Hour()*60 + wall.Minute())
	e.Times = []Clock{c}
	e.From = dateOf(wall)
	for _, list := range []struct {
		property string
		times    *[]time.Time
	}{{"EXDATE", &e.Except}, {"RDATE", &e.Also}} {
		for _, p := range v.all(list.property) {
			moments, err := readMoments(p)
			if err != nil {
				return wrongMoment(p, err)
			}
			for _, m := range moments {
				if m.allDay { // the event of that day
					m.wall, m.zone = dateOf(m.wall).wall(c), zone
				}
				*list.times = append(*list.times, m.instant())
			}
		}
	}
	for _, p := range v.all("RECURRENCE-ID") {
		moments, err := readMoments(p)
		if err != nil || len(moments) != 1 {
			return wrongMoment(p, errors.Join(err))
		}
		v.replaces = moments[0].instant()
	}
	if err := v.readLength(start[0]); err != nil {
		return []Wrong{{Message: err.Error(), Mend: "correct its end"}}
	}
	switch rules := v.all("RRULE"); len(rules) {
	case 0:
		e.To = e.From
	case 1:
		if err := e.repeat(rules[0].Value, wall, zone); err != nil {
			return []Wrong{{Message: fmt.Sprintf("RRULE %s is not a rule: %v", rules[0].Value, err), Mend: "correct how it repeats"}}
		}
	default:
		return []Wrong{{Message: "it has several RRULEs", Mend: "make several events of it"}}
	}
	if strings.EqualFold(v.value(xOpen), "TRUE") && e.Rule == "" && e.From != e.To {
		e.From = Date{}
	}
	return nil
}

// repeat has an entry repeat by a rule: by days where they can say the same.
func (e *Entry) repeat(text string, start time.Time, zone *time.Location) error {
	r, err := newRule(text, start.Truncate(time.Minute), zone)
	if err != nil {
		return err
	}
	days, plain := r.plainDays()
	if !plain {
		e.Rule = strings.ToUpper(text)
		return nil
	}
	e.Days = days
	if !r.Until.IsZero() {
		e.To = dateOf(r.Until)
		if e.To.wall(e.Times[0]).After(r.Until) {
			e.To = dateOf(e.To.wall(0).Add(-time.Hour))
		}
	}
	return nil
}

// plainDays says on which days of the week a rule's times are, if it is about them only.
func (r rule) plainDays() (days Days, plain bool) {
	o := r.ROption
	for _, w := range o.Byweekday {
		if w.N() != 0 {
			return 0, false
		}
		days |= 1 << ((w.Day() + 1) % 7) // from Monday on there
	}
	if o.Freq == rrule.WEEKLY && days == 0 {
		days = 1 << o.Dtstart.Weekday()
	}
	if days == allDays {
		days = 0
	}
	others := len(o.Bysetpos) + len(o.Bymonth) + len(o.Bymonthday) + len(o.Byyearday) + len(o.Byweekno) + len(o.Byhour) + len(o.Byminute)
	return days, (o.Freq == rrule.DAILY || o.Freq == rrule.WEEKLY) && o.Interval <= 1 && o.Count == 0 && others == 0
}

func (v *event) readLength(start moment) (err error) {
	e := &v.entry
	if ends := v.all("DTEND"); len(ends) > 0 {
		end, err := readMoments(ends[0])
		if err != nil || len(end) != 1 {
			return fmt.Errorf("DTEND %s %v", ends[0].Value, errMoment)
		}
		e.Length = end[0].instant().Sub(start.instant())
	} else if length := v.value("DURATION"); length != "" {
		e.Length, err = parseLength(length)
	}
	if err == nil && e.Length < 0 {
		err = errors.New("it ends before it begins")
	}
	return err
}

// moment is a DATE-TIME or DATE (RFC 5545, 3.3.5 and 3.3.4).
type moment struct {
	wall   time.Time
	zone   *time.Location
	allDay bool
}

func (m moment) instant() time.Time { return instant(m.wall, m.zone) }

var errMoment = errors.New("is not a time such as 20261127T063000Z")

func wrongMoment(p ics.BaseProperty, err error) []Wrong {
	if err == nil {
		err = errMoment
	}
	w := Wrong{Message: fmt.Sprintf("%s %s %v", p.IANAToken, p.Value, err), Mend: "correct its time"}
	if errors.Is(err, errZone) {
		w.Mend = "choose a zone with an IANA name such as Europe/Berlin, or UTC, in the calendar, and export it anew"
	}
	return []Wrong{w}
}

var errZone = errors.New("is of an unknown time zone")

// readMoments reads the times of a property, of which periods count by their beginning. Seconds are dropped.
func readMoments(p ics.BaseProperty) (all []moment, err error) {
	zone := time.UTC
	for name, values := range p.ICalParameters {
		if strings.EqualFold(name, "TZID") && len(values) > 0 {
			if zone, err = loadZone(values[0]); err != nil || values[0] == "" {
				return nil, fmt.Errorf("%w %q", errZone, values[0])
			}
		}
	}
	switch zone.String() {
	case "Etc/UTC", "Etc/GMT", "GMT", "Etc/UCT", "UCT", "Zulu", "Etc/Zulu":
		zone = time.UTC
	}
	for _, text := range strings.Split(strings.TrimSpace(p.Value), ",") {
		text, _, _ = strings.Cut(text, "/")
		if day, err := time.Parse("20060102", text); err == nil {
			all = append(all, moment{day, zone, true})
			continue
		}
		of := zone
		local, inUTC := strings.CutSuffix(text, "Z")
		if inUTC {
			of = time.UTC
		}
		wall, err := time.Parse("20060102T150405", local)
		if err != nil {
			return nil, errMoment
		}
		all = append(all, moment{wall.Truncate(time.Minute), of, false})
	}
	return all, nil
}

// lengthForm is that of a DURATION without sign (RFC 5545, 3.3.6).
var lengthForm = regexp.MustCompile(`^\+?P(?:(\d{1,4})W|(?:(\d{1,5})D)?(?:T(?:(\d{1,6})H)?(?:(\d{1,8})M)?(?:(\d{1,9})S)?)?)$`)

func parseLength(s string) (d time.Duration, err error) {
	parts := lengthForm.FindStringSubmatch(strings.ToUpper(s))
	if parts == nil {
		return 0, fmt.Errorf("DURATION %s is not a length such as PT20M", s)
	}
	for i, unit := range []time.Duration{7 * 24 * time.Hour, 24 * time.Hour, time.Hour, time.Minute, time.Second} {
		n, _ := strconv.Atoi(parts[i+1]) // 0 where there is none
		d += time.Duration(n) * unit
	}
	return d, nil
}

// readRest reads what iCalendar does not know, and the title.
func (v *event) readRest(names Names) (wrong []Wrong) {
	e := &v.entry
	e.Title = fault.OneLine(v.value("SUMMARY"))
	for _, column := range Columns() {
		property, ok := xProperties[column]
		if !ok {
			continue
		}
		if err := Set(e, column, v.value(property)); err != nil {
			wrong = append(wrong, Wrong{Message: fmt.Sprintf("%s %q %v", property, v.value(property), err), Mend: "correct it"})
		}
	}
	if id := v.value(xProperties["id"]); id != "" { // it is one of ours, in which what is not said is not known
		if e.Title == id {
			e.Title = ""
		}
		return wrong
	}
	for _, property := range []string{"CATEGORIES", "LOCATION", "SUMMARY", "DESCRIPTION"} {
		text := v.value(property)
		if e.FrequencyHz == 0 {
			e.FrequencyHz = frequencyIn(text)
		}
		if e.Mode == "" {
			e.Mode = modeIn(text, names.Modes)
		}
	}
	return wrong
}

var frequencyForm = regexp.MustCompile(`(?i)\b\d+(?:\.\d+)? ?[kMG]?Hz\b`)

// frequencyIn is the first frequency with a unit in a text, in Hz; 0 if there is none.
func frequencyIn(text string) float64 {
	hz, err := quantity.HzWithUnit(frequencyForm.FindString(text))
	if err != nil {
		return 0
	}
	return hz
}

// modeIn is the first name of a mode in a text.
func modeIn(text string, modes []string) string {
	for _, word := range split(text) {
		word = strings.ToLower(strings.Trim(word, ".;:()"))
		if slices.Contains(modes, word) {
			return word
		}
	}
	return ""
}

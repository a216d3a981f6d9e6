package programme

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"ionoscribe/internal/nearest"
	"ionoscribe/internal/quantity"
)

// Names are those that entries may use.
type Names struct {
	Modes     []string
	Receivers []string // nil: they are not known, and not checked
}

// Wrong is what is wrong with an entry.
type Wrong struct {
	Column        string // the one to blame
	Message, Mend string
}

// The longest window is shorter than the half of a day, so that the occurrences of a day can be told apart.
const (
	mostWindow = 12 * time.Hour
	mostLength = 24 * time.Hour
)

// Complete gives an entry what follows from the rest, an ID and the order of times, and finds what is wrong with it.
func (e *Entry) Complete(names Names) (wrong []Wrong) {
	no := func(column, mend, message string, values ...any) {
		wrong = append(wrong, Wrong{column, fmt.Sprintf(message, values...), mend})
	}
	slices.Sort(e.Times)
	e.Times = slices.Compact(e.Times)
	slices.SortFunc(e.Except, time.Time.Compare)
	slices.SortFunc(e.Also, time.Time.Compare)
	if e.ID == "" {
		e.ID = e.derivedID()
	}
	switch {
	case e.ID == "":
		no("title", "give a title or an id", "the entry has neither title nor id")
	case strings.ContainsFunc(e.ID, func(r rune) bool { return !idRune(r) }):
		no("id", "use letters, digits, - . and _", "id %q has other than letters, digits, - . and _", e.ID)
	}
	if len(e.Times) == 0 && len(e.Also) == 0 {
		no("times", "give one or more, such as 06:30", "the entry has no times")
	}
	if !e.From.IsZero() && !e.To.IsZero() && e.To.Before(e.From) {
		no("to", "change one of them", "the last day, %s, is before the first, %s", e.To, e.From)
	}
	zone, err := loadZone(e.Zone)
	if err != nil {
		no("zone", "give an IANA name such as Europe/Berlin, or none for UTC", "%q is not a time zone", e.Zone)
		zone = time.UTC
	}
	e.checkRule(no, zone)
	if e.Mode != "" && !slices.Contains(names.Modes, e.Mode) {
		no("mode", oneOf(e.Mode, names.Modes), "%q is not a mode", e.Mode)
	}
	for _, r := range e.Receivers {
		if names.Receivers != nil && !slices.Contains(names.Receivers, r) {
			no("receivers", oneOf(r, names.Receivers), "there is no receiver %q", r)
		}
	}
	for _, w := range []struct {
		column string
		is     time.Duration
		most   time.Duration
	}{{"early", e.Early, mostWindow}, {"late", e.Late, mostWindow}, {"length", e.Length, mostLength}} {
		if w.is > w.most {
			no(w.column, "give less", "%s is more than %s", quantity.Short(w.is), quantity.Short(w.most))
		}
	}
	return wrong
}

func (e *Entry) checkRule(no func(column, mend, message string, values ...any), zone *time.Location) {
	if e.Rule == "" {
		return
	}
	if e.From.IsZero() {
		no("rule", "give from, the day of its first occurrence", "the rule has no day from which it counts")
		return
	}
	if e.Days != 0 || !e.To.IsZero() {
		no("rule", "say it by the rule's BYDAY and UNTIL", "a rule goes with neither days nor to")
	}
	for _, c := range e.Times {
		r, err := newRule(e.Rule, e.From.wall(c), zone)
		if err == nil && !r.happens() {
			err = errors.New("it never happens")
		}
		if err != nil {
			no("rule", "see RFC 5545, section 3.3.10; an example is FREQ=MONTHLY;BYDAY=1MO", "%q is not a rule: %v", e.Rule, err)
			return
		}
	}
}

// oneOf is what mends a name that is none of some.
func oneOf(name string, names []string) string {
	if mend := nearest.DidYouMean(name, names); mend != "" {
		return mend
	}
	if len(names) == 0 {
		return "leave it out"
	}
	return "there are: " + strings.Join(names, ", ")
}

func idRune(r rune) bool {
	return unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("-._", r)
}

// derivedID is made of title and frequency: north-sea-analysis-7878.1.
func (e *Entry) derivedID() string {
	words := strings.FieldsFunc(strings.ToLower(e.Title), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	if len(words) > 0 && e.FrequencyHz != 0 {
		words = append(words, strings.TrimSuffix(quantity.KHz(e.FrequencyHz), " kHz"))
	}
	return strings.Join(words, "-")
}

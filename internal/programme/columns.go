package programme

import (
	"errors"
	"slices"
	"strings"
	"time"

	"ionoscribe/internal/fault"
	"ionoscribe/internal/quantity"
)

// column is a field of an entry as text: a column of CSV, and a key in station.toml.
type column struct {
	name string
	set  func(*Entry, string) error // of a text that is not empty; the error is the end of a sentence
	text func(*Entry) string
}

var columns = []column{
	{"id", func(e *Entry, s string) error { e.ID = s; return nil }, func(e *Entry) string { return e.ID }},
	{"title", func(e *Entry, s string) error { e.Title = fault.OneLine(s); return nil }, func(e *Entry) string { return e.Title }},
	{"times", setList(func(e *Entry) *[]Clock { return &e.Times }, ParseClock), listText(func(e *Entry) []Clock { return e.Times }, Clock.String)},
	{"days", func(e *Entry, s string) (err error) { e.Days, err = ParseDays(s); return err }, func(e *Entry) string { return e.Days.String() }},
	{"from", func(e *Entry, s string) (err error) { e.From, err = ParseDate(s); return err }, func(e *Entry) string { return e.From.String() }},
	{"to", func(e *Entry, s string) (err error) { e.To, err = ParseDate(s); return err }, func(e *Entry) string { return e.To.String() }},
	{"frequency", setHz(func(e *Entry) *float64 { return &e.FrequencyHz }), func(e *Entry) string { return hzText(e.FrequencyHz, quantity.KHz) }},
	{"mode", func(e *Entry, s string) error { e.Mode = s; return nil }, func(e *Entry) string { return e.Mode }},
	{"receivers", func(e *Entry, s string) error { e.Receivers = split(s); return nil }, func(e *Entry) string { return strings.Join(e.Receivers, " ") }},
	{"length", setDuration(func(e *Entry) *time.Duration { return &e.Length }), func(e *Entry) string { return durationText(e.Length) }},
	{"early", setDuration(func(e *Entry) *time.Duration { return &e.Early }), func(e *Entry) string { return durationText(e.Early) }},
	{"late", setDuration(func(e *Entry) *time.Duration { return &e.Late }), func(e *Entry) string { return durationText(e.Late) }},
	{"within", setHz(func(e *Entry) *float64 { return &e.WithinHz }), func(e *Entry) string { return hzText(e.WithinHz, quantity.Hertz) }},
	{"rule", func(e *Entry, s string) error { e.Rule = strings.ToUpper(strings.TrimPrefix(s, "RRULE:")); return nil }, func(e *Entry) string { return e.Rule }},
	{"except", setList(func(e *Entry) *[]time.Time { return &e.Except }, parseInstant), listText(func(e *Entry) []time.Time { return e.Except }, instantText)},
	{"also", setList(func(e *Entry) *[]time.Time { return &e.Also }, parseInstant), listText(func(e *Entry) []time.Time { return e.Also }, instantText)},
	{"zone", func(e *Entry, s string) error { e.Zone = s; return nil }, func(e *Entry) string { return e.Zone }},
}

// Columns are the names of the columns of CSV, which are the keys of an entry in station.toml.
func Columns() []string {
	names := make([]string, len(columns))
	for i, c := range columns {
		names[i] = c.name
	}
	return names
}

// Text is a field of an entry, by the name of its column, which must be one of [Columns], as [Set] reads it.
func Text(e *Entry, name string) string { return columns[columnOf(name)].text(e) }

func columnOf(name string) int {
	return slices.IndexFunc(columns, func(c column) bool { return c.name == name })
}

// Set sets a field of an entry by the name of its column, which must be one of [Columns]; the error is the end of a sentence about
// the text. A text that is empty leaves the field.
func Set(e *Entry, name, text string) error {
	if text = strings.TrimSpace(text); text == "" {
		return nil
	}
	return columns[columnOf(name)].set(e, text)
}

func setList[T any](field func(*Entry) *[]T, parse func(string) (T, error)) func(*Entry, string) error {
	return func(e *Entry, s string) error {
		var all []T
		for _, word := range split(s) {
			v, err := parse(word)
			if err != nil {
				return err
			}
			all = append(all, v)
		}
		*field(e) = all
		return nil
	}
}

func listText[T any](field func(*Entry) []T, text func(T) string) func(*Entry) string {
	return func(e *Entry) string {
		var words []string
		for _, v := range field(e) {
			words = append(words, text(v))
		}
		return strings.Join(words, " ")
	}
}

func instantText(t time.Time) string { return t.UTC().Format(instantForm) }

func setHz(field func(*Entry) *float64) func(*Entry, string) error {
	return func(e *Entry, s string) error {
		hz, err := quantity.HzWithUnit(s)
		if err == nil && hz == 0 {
			err = errors.New("is no frequency; leave it out if any will do")
		}
		*field(e) = hz
		return err
	}
}

func hzText(hz float64, text func(float64) string) string {
	if hz == 0 {
		return ""
	}
	return text(hz)
}

func setDuration(field func(*Entry) *time.Duration) func(*Entry, string) error {
	return func(e *Entry, s string) (err error) {
		*field(e), err = quantity.Duration(s)
		return err
	}
}

func durationText(d time.Duration) string {
	if d == 0 {
		return ""
	}
	return quantity.Short(d)
}

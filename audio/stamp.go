package audio

import (
	"regexp"
	"strings"
	"time"
)

// isoForm is a date and a time of day with its zone after ISO 8601, basic or extended, and what becomes of its colons in
// the names of files.
var isoForm = regexp.MustCompile(`(\d{4})-?(\d\d)-?(\d\d)[T _-](\d\d)[:._-]?(\d\d)(?:[:._-]?(\d\d)(?:[.,](\d{1,9}))?)? ?(Z|UTC|[+-]00:?00)(?:[^A-Za-z0-9]|$)`)

// isoTime finds an instant in a text. One without a zone, or with one other than UTC's, is none: it would be a guess.
func isoTime(s string) (t time.Time, ok bool) {
	for _, m := range isoForm.FindAllStringSubmatchIndex(s, -1) {
		if m[0] > 0 && s[m[0]-1] >= '0' && s[m[0]-1] <= '9' {
			continue // the end of a longer number
		}
		part := func(i int, empty string) string {
			if m[2*i] < 0 {
				return empty
			}
			return s[m[2*i]:m[2*i+1]]
		}
		text := part(1, "") + part(2, "") + part(3, "") + part(4, "") + part(5, "") + part(6, "00") + "." + part(7, "0")
		if t, err := time.Parse("20060102150405.999999999", text); err == nil && t.Year() >= 1900 {
			return t, true
		}
	}
	return t, false
}

// stampTags takes the time of the first sample from tags NAME=VALUE, of which DATE is when it was recorded (Vorbis I
// specification, section 5.2.2) and CREATION_TIME what converters carry along.
func (s *Source) stampTags(tags []string) {
	for _, tag := range tags {
		name, value, _ := strings.Cut(tag, "=")
		if strings.EqualFold(name, "DATE") || strings.EqualFold(name, "CREATION_TIME") {
			if t, ok := isoTime(value); ok && s.stamp.IsZero() {
				s.stamp, s.stampFrom = t, FromTags
			}
		}
	}
}

package stationfile

import (
	"fmt"
	"math"
	"strings"
	"time"

	"ionoscribe/internal/quantity"
)

// usualSound is kept unless something else is said: a night, of about 60 MB an hour at 12 kHz.
var usualSound = Limit{Age: 12 * time.Hour}

// ever is longer than any station runs.
const ever = time.Duration(math.MaxInt64)

func readKeep(root *table) (k Keep, sound Limit) {
	sound = usualSound
	t := root.table("keep")
	if t == nil {
		return k, sound
	}
	k = Keep{Charts: t.limit("charts", Limit{}), Texts: t.limit("texts", Limit{}), Videos: t.limit("videos", Limit{})}
	sound = t.soundLimit(sound)
	t.onlyKnown()
	return k, sound
}

// soundLimit is the limit of sound: of which none may be kept, which is one without an age, and never all.
func (t *table) soundLimit(usual Limit) Limit {
	text := t.text("sound")
	if text == "" {
		return usual
	}
	if strings.EqualFold(text, "none") {
		return Limit{}
	}
	l := t.limit("sound", usual)
	switch {
	case l == Limit{}:
		t.wrong(t.at("sound"), "write such as 12 h, or 12 h, 2 GB, or none", "the sound of a receiver cannot be kept for ever")
		return usual
	case l.Age == 0:
		l.Age = ever
	}
	return l
}

// limit is a length of time, a number of bytes, or both with a comma between.
func (t *table) limit(key string, usual Limit) (l Limit) {
	text := t.text(key)
	switch {
	case text == "":
		return usual
	case strings.EqualFold(text, "for ever"):
		return l
	}
	for part := range strings.SplitSeq(text, ",") {
		part = strings.TrimSpace(part)
		d, notTime := quantity.Duration(part)
		n, notBytes := quantity.Bytes(part)
		switch {
		case notTime == nil && d > 0 && l.Age == 0:
			l.Age = d
		case notBytes == nil && n > 0 && l.Bytes == 0:
			l.Bytes = n
		default:
			t.wrong(t.at(key), `write such as "400 days", "20 GB", "400 days, 20 GB" or "for ever"`, "%s %q is neither a length of time nor a number of bytes", key, part)
			return usual
		}
	}
	return l
}

// duration is a length of time of more than 0.
func (t *table) duration(key string, usual time.Duration) time.Duration {
	text := t.text(key)
	if text == "" {
		return usual
	}
	d, err := quantity.Duration(text)
	if err == nil && d == 0 {
		err = fmt.Errorf("is no time at all")
	}
	if err != nil {
		t.wrong(t.at(key), "", "%s %q %v", key, text, err)
		return usual
	}
	return d
}

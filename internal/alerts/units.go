package alerts

import (
	"fmt"
	"strings"
	"time"
)

// Duration is written "90s", "10m", "2h30m".
type Duration time.Duration

// UnmarshalText reads it.
func (d *Duration) UnmarshalText(text []byte) error {
	v, err := time.ParseDuration(string(text))
	if err != nil || v < 0 {
		return fmt.Errorf("%q is no duration; write it like \"10m\" or \"2h30m\"", text)
	}
	*d = Duration(v)
	return nil
}

// MarshalText writes it.
func (d Duration) MarshalText() ([]byte, error) { return []byte(time.Duration(d).String()), nil }

// Hours is a part of each day, UTC, written "22:00-06:30": from the first minute until just before the last one.
type Hours struct {
	From, To int // minutes of the day
}

// UnmarshalText reads it.
func (h *Hours) UnmarshalText(text []byte) error {
	from, to, ok := strings.Cut(string(text), "-")
	if ok {
		var a, b time.Time
		var errA, errB error
		a, errA = time.Parse("15:04", strings.TrimSpace(from))
		b, errB = time.Parse("15:04", strings.TrimSpace(to))
		if errA == nil && errB == nil && !a.Equal(b) {
			h.From, h.To = a.Hour()*60+a.Minute(), b.Hour()*60+b.Minute()
			return nil
		}
	}
	return fmt.Errorf("%q is no range of hours; write it like \"22:00-06:30\", in UTC", text)
}

// MarshalText writes it.
func (h Hours) MarshalText() ([]byte, error) {
	return fmt.Appendf(nil, "%02d:%02d-%02d:%02d", h.From/60, h.From%60, h.To/60, h.To%60), nil
}

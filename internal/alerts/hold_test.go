package alerts

import (
	"testing"
	"time"
)

func clockTime(t *testing.T, s string) time.Time {
	t.Helper()
	at, err := time.Parse("2006-01-02 15:04:05", "2026-11-"+s)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

func TestQuietUntil(t *testing.T) {
	hours := func(list ...string) (all []Hours) {
		for _, s := range list {
			var h Hours
			if err := h.UnmarshalText([]byte(s)); err != nil {
				t.Fatal(err)
			}
			all = append(all, h)
		}
		return all
	}
	night := hours("22:00-06:30")
	for _, c := range []struct {
		quiet      []Hours
		at, untilT string
	}{
		{night, "27 21:59:59", "27 21:59:59"},
		{night, "27 22:00:00", "28 06:30:00"},
		{night, "27 23:59:59", "28 06:30:00"},
		{night, "28 00:00:00", "28 06:30:00"},
		{night, "28 06:29:59", "28 06:30:00"},
		{night, "28 06:30:00", "28 06:30:00"},
		{hours("12:00-13:00", "13:00-14:00"), "27 12:10:11", "27 14:00:00"},
		{hours("12:00-13:00"), "27 14:00:00", "27 14:00:00"},
		{hours("00:00-12:00"), "27 00:00:00", "27 12:00:00"},
		{hours("12:00-00:00"), "27 23:00:00", "28 00:00:00"},
		{nil, "27 12:10:11", "27 12:10:11"},
	} {
		if got, want := quietUntil(c.quiet, clockTime(t, c.at)), clockTime(t, c.untilT); !got.Equal(want) {
			t.Errorf("%v at %s: quiet until %v, want %v", c.quiet, c.at, got, want)
		}
	}
	// The hours are UTC, wherever the time is.
	elsewhere := time.FixedZone("", 5*3600)
	if got := quietUntil(night, clockTime(t, "27 23:00:00").In(elsewhere)); !got.Equal(clockTime(t, "28 06:30:00")) {
		t.Errorf("in another zone: quiet until %v", got)
	}
}

func TestUnits(t *testing.T) {
	var h Hours
	for _, bad := range []string{"", "22-06", "22:00", "22:00-25:00", "22:00-22:00", "22:00-06:61", "a-b"} {
		if err := h.UnmarshalText([]byte(bad)); err == nil {
			t.Errorf("hours %q are read as %v", bad, h)
		}
	}
	if err := h.UnmarshalText([]byte("22:05 - 06:30")); err != nil {
		t.Fatal(err)
	}
	if s, _ := h.MarshalText(); string(s) != "22:05-06:30" {
		t.Errorf("hours are written %s", s)
	}
	var d Duration
	for _, bad := range []string{"", "10", "-1m", "x"} {
		if err := d.UnmarshalText([]byte(bad)); err == nil {
			t.Errorf("duration %q is read as %v", bad, d)
		}
	}
	if err := d.UnmarshalText([]byte("1h30m")); err != nil || time.Duration(d) != 90*time.Minute {
		t.Errorf("1h30m is read as %v, %v", d, err)
	}
}

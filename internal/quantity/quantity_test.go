package quantity

import (
	"testing"
	"time"
)

func TestHz(t *testing.T) {
	for s, want := range map[string]float64{
		"7878100": 7878100, "7878.1kHz": 7878100, "7.8781 MHz": 7878100, " 518 khz ": 518000, "1GHz": 1e9, "-5 Hz": -5,
	} {
		if hz, err := Hz(s); err != nil || hz != want {
			t.Errorf("%q: %v Hz, %v; want %v", s, hz, err, want)
		}
	}
	for _, s := range []string{"", "kHz", "NaN", "inf", "1e13", "7,8781 MHz", "518 kHz upper"} {
		if hz, err := Hz(s); err != ErrFrequency {
			t.Errorf("%q: %v Hz, %v", s, hz, err)
		}
	}
	if _, err := HzWithUnit("7878.1"); err != ErrUnit {
		t.Error(err)
	}
	if _, err := HzWithUnit("-7878.1 kHz"); err != ErrFrequency {
		t.Error(err)
	}
	if s := KHz(7878100); s != "7878.1 kHz" {
		t.Error(s)
	}
}

func TestDuration(t *testing.T) {
	for s, want := range map[string]time.Duration{
		"90 s": 90 * time.Second, "1h30m": 90 * time.Minute, "1 h 30 min": 90 * time.Minute, "30 days": 720 * time.Hour,
		"1 Day": 24 * time.Hour, "0.5 h": 30 * time.Minute, "0 s": 0,
	} {
		if d, err := Duration(s); err != nil || d != want {
			t.Errorf("%q: %v, %v; want %v", s, d, err, want)
		}
	}
	for _, s := range []string{"", "90", "h", "5 weeks", "-5 s", "1e3 s", "1..2 s", "99999999999 days"} {
		if d, err := Duration(s); err != ErrDuration {
			t.Errorf("%q: %v, %v", s, d, err)
		}
	}
	for d, want := range map[time.Duration]string{
		0: "0 s", 90 * time.Second: "90 s", 90 * time.Minute: "90 min", 48 * time.Hour: "2 days", 24 * time.Hour: "1 day", 1500 * time.Millisecond: "1.5 s",
	} {
		if s := Short(d); s != want {
			t.Errorf("%v: %q, want %q", d, s, want)
		} else if back, err := Duration(s); err != nil || back != d {
			t.Errorf("%q: %v, %v", s, back, err)
		}
	}
}

func TestBytes(t *testing.T) {
	for s, want := range map[string]int64{"500 MB": 500e6, "20GB": 20e9, "1.5 tb": 15e11, "0 kB": 0} {
		if n, err := Bytes(s); err != nil || n != want {
			t.Errorf("%q: %v, %v; want %v", s, n, err, want)
		}
	}
	for _, s := range []string{"", "20", "GB", "-1 GB", "1e12 TB", "NaN GB"} {
		if n, err := Bytes(s); err != ErrBytes {
			t.Errorf("%q: %v, %v", s, n, err)
		}
	}
}

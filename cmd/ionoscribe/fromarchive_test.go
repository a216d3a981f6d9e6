package main

import (
	"strings"
	"testing"
	"time"

	"ionoscribe/internal/soundring"
	"ionoscribe/samples"
)

// What a receiver heard is copied again, with the times at which it was heard.
func TestFromArchive(t *testing.T) {
	t.Chdir(t.TempDir())
	begin := time.Date(2026, 3, 4, 6, 0, 10, 0, time.UTC)
	ring, err := soundring.Open("station", "north", soundring.Config{SampleRate: 12000, Age: time.Hour})
	must(t, err)
	const text = "GALE WARNING OSTREL SEA WIND SOUTHWEST 8 INCREASING 9 VISIBILITY GOOD"
	sound, err := samples.NewRTTY(samples.RTTYConfig{Text: text, SampleRate: 12000, LeadSeconds: 5, TrailSeconds: 2})
	must(t, err)
	x, err := samples.ReadAll(sound)
	must(t, err)
	x = append(x, make([]float32, 15*12000)...)
	for at := 0; at < len(x); at += 4096 {
		ring.Write(x[at:min(at+4096, len(x))], begin.Add(time.Duration(float64(at)/12000*1e9)))
	}
	must(t, ring.Close())
	for _, c := range []struct {
		args, want string
		status     int
	}{
		{"--between 2026-03-04T06:00,2026-03-04T06:05", "GALE WARNING OSTREL SEA", statusOK},
		{"--between 2026-03-04T09:00,2026-03-04T09:05", "there is no sound", statusFailed},
		{"--between 2026-03-04T09:05,2026-03-04T09:00", "is not two times", statusUsage},
		{"", "goes with either", statusUsage},
		{"--between 2026-03-04T06:00,2026-03-04T06:05 x.wav", "takes the place of SOURCE", statusUsage},
	} {
		status, out, errs := try(nil, append([]string{"copy", "--from-archive", "north", "--out", "copies"}, strings.Fields(c.args)...)...)
		if status != c.status || !strings.Contains(out+errs, c.want) {
			t.Errorf("%s: %d %s%s", c.args, status, out, errs)
		}
		if c.status == statusOK && !strings.Contains(out, "2026-03-04T06:00:") {
			t.Error(out)
		}
	}
	if status, _, errs := try(nil, "copy", "--between", "a,b"); status != statusUsage || !strings.Contains(errs, "go with --from-archive") {
		t.Error(status, errs)
	}
}

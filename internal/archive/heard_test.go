package archive

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

// clock is a time of the day of invented transmissions, such as 07:30.
func clock(text string) time.Time {
	t, err := time.Parse("15:04", text)
	if err != nil {
		panic(err)
	}
	return noon.Truncate(24 * time.Hour).Add(time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute)
}

// hearing is that of a receiver in words.
func hearing(h Hearing) (all []string) {
	const form = "15:04"
	for _, s := range h.Heard {
		all = append(all, "heard "+s.From.Format(form)+" "+s.To.Format(form))
	}
	for _, s := range h.Silences {
		all = append(all, s.From.Format(form)+" "+s.To.Format(form)+" "+s.Why)
	}
	return all
}

func TestHeard(t *testing.T) {
	ctx := context.Background()
	a := open(t, t.TempDir())
	tell := func(at string, day int, what What, receiver, text string, seconds float64) {
		a.Incident(Incident{At: clock(at).AddDate(0, 0, day), What: what, Receiver: receiver, Text: text, Seconds: seconds})
	}
	tell("09:00", -9, Started, "", "", 0)
	tell("09:00", -9, Started, "north", "", 0)
	tell("09:00", -9, Started, "old", "", 0)
	tell("09:00", -8, Stopped, "old", "", 0)
	tell("06:00", 0, Stopped, "north", "the cable was pulled", 0)
	tell("06:30", 0, Started, "north", "", 0)
	tell("07:00", 0, Started, "south", "", 0)
	tell("08:00", 0, Gap, "north", "", 30) // told twice: before it was over, and then
	tell("08:00", 0, Gap, "north", "", 90)
	tell("08:02", 0, Gap, "north", "", 60)
	tell("09:00", 0, Stopped, "south", "", 0) // its hours were over
	tell("10:00", 0, Stopped, "north", "", 0)
	tell("10:00", 0, Stopped, "", "", 0)
	tell("11:00", 0, Started, "", "", 0)
	tell("11:00", 0, Started, "north", "", 0)
	flush(t, a)
	midnight := clock("00:00")
	all, err := a.Heard(ctx, midnight, midnight.Add(24*time.Hour), clock("12:00"))
	must(t, err)
	want := map[string][]string{
		"north": {"heard 00:00 06:00", "heard 06:30 10:00", "heard 11:00 12:00", "06:00 06:30 the cable was pulled", "08:00 08:03 samples were lost", "10:00 11:00 the station was stopped"},
		"south": {"heard 07:00 09:00", "00:00 07:00 the receiver had not been started yet", "09:00 12:00 the receiver was not listened to"},
		"old":   {"00:00 12:00 the receiver was not listened to"},
	}
	for _, h := range all {
		if got := hearing(h); !slices.Equal(got, want[h.Receiver]) {
			t.Errorf("%s: %q\nwant %q", h.Receiver, got, want[h.Receiver])
		}
	}
	if len(all) != len(want) {
		t.Errorf("%v", all)
	}
	if all, err := a.Heard(ctx, midnight.Add(48*time.Hour), midnight.Add(72*time.Hour), clock("12:00")); err != nil || len(all[0].Heard)+len(all[0].Silences) > 0 {
		t.Error("tomorrow:", all, err)
	}
}

// Of a program that was killed the next one finds when it was heard last.
func TestHeardUntilKilled(t *testing.T) {
	ctx := context.Background()
	a := open(t, t.TempDir())
	a.Incident(Incident{At: clock("09:00"), What: Started})
	a.Incident(Incident{At: clock("09:00"), What: Started, Receiver: "north"})
	hear(a, "north", "rtty", clock("10:00"), "GALE WARNING")
	flush(t, a)
	dir := t.TempDir() // what is left behind by a program that is killed: its database
	must(t, a.Backup(ctx, filepath.Join(dir, Name)))
	for range 2 { // the second start finds nothing more
		b := open(t, dir)
		all, err := b.Heard(ctx, clock("00:00"), clock("12:00"), clock("12:00"))
		must(t, err)
		want := []string{"heard 09:00 10:00", "00:00 09:00 the receiver had not been started yet", "10:00 12:00 the program ended without notice"}
		if got := hearing(all[0]); len(all) != 1 || !slices.Equal(got, want) {
			t.Errorf("%q", got)
		}
		incidents, err := b.Incidents(ctx, clock("00:00"), clock("12:00"))
		must(t, err)
		if len(incidents) != 4 || incidents[3].What != Stopped || incidents[3].Receiver != "" {
			t.Errorf("%v", incidents)
		}
		must(t, b.Close())
	}
	must(t, os.RemoveAll(dir))
}

func TestDuring(t *testing.T) {
	ctx := context.Background()
	a := open(t, t.TempDir())
	stay := func(begun time.Time, d time.Duration, copied bool) ID {
		id := a.Begin(Transmission{Receiver: "north", Mode: "cw", OnAir: true, Hz: 7e6, Begun: begun, Copied: copied})
		a.End(id, begun.Add(d))
		return id
	}
	stay(noon.AddDate(0, 0, -3), time.Hour, true)
	long := stay(noon.AddDate(0, 0, -2), 3*24*time.Hour, false)
	over := stay(noon.Add(-time.Hour), 2*time.Hour, true)
	hearChart(t, a, "north", "Ice", noon)
	short := stay(noon.Add(time.Minute), time.Second, false)
	stay(noon.Add(time.Hour), time.Hour, true)
	going := a.Begin(Transmission{Receiver: "north", Mode: "cw", Begun: noon.Add(2 * time.Minute), Copied: true})
	flush(t, a)
	numbers := func(most int) (all []string) {
		hits, err := a.During(ctx, noon, noon.Add(time.Hour), most)
		must(t, err)
		for _, h := range hits {
			all = append(all, fmt.Sprint(h.ID, " ", h.Chart))
		}
		return all
	}
	if got, want := numbers(100), []string{fmt.Sprint(long, " 0"), fmt.Sprint(over, " 0"), "4 1", fmt.Sprint(short, " 0"), fmt.Sprint(going, " 0")}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := numbers(3), []string{fmt.Sprint(over, " 0"), "4 1", fmt.Sprint(going, " 0")}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestBand(t *testing.T) {
	ctx := context.Background()
	a := open(t, t.TempDir())
	on := func(receiver, mode string, hz, snr float64, begun time.Time, d time.Duration) {
		a.End(a.Begin(Transmission{Receiver: receiver, Mode: mode, OnAir: hz > 10000, Hz: hz, SNR: snr, Begun: begun, Copied: true}), begun.Add(d))
	}
	a.Incident(Incident{At: noon.AddDate(0, 0, -1), What: Started, Receiver: "north"})
	on("north", "cw", 7_000_100, 10, noon.Add(30*time.Minute), time.Hour) // half an hour each
	on("north", "cw", 6_999_900, 20, noon.AddDate(0, 0, 1), 30*time.Minute)
	on("south", "rtty", 7_000_100, 5, noon, 0)
	on("south", "rtty", 1_500, 5, noon, time.Hour) // in the audio: it is nowhere on the band
	on("north", "fax", 3_855_000, 30, noon.AddDate(0, 0, -9), 20*24*time.Hour)
	flush(t, a)
	words := func(receiver string, from, to time.Time) (all []string, b *Band) {
		b, err := a.Band(ctx, from, to, noon.Add(2*time.Hour), receiver)
		must(t, err)
		for _, c := range b.Cells {
			if c.Mode != "fax" {
				all = append(all, fmt.Sprintf("%.0f %d %s %.0f %d %.0f", c.Hz, c.Hour, c.Mode, c.Seconds, c.Transmissions, c.SNR))
			}
		}
		return all, b
	}
	got, b := words("", noon, noon.AddDate(0, 0, 2))
	if want := []string{"7000000 12 cw 3600 2 15", "7000000 12 rtty 1 1 5", "7000000 13 cw 1800 0 10"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if !slices.Equal(b.Modes, []string{"cw", "fax", "rtty"}) || math.Abs(b.HeardHours[12]-1) > 1e-9 || b.HeardHours[14] != 0 {
		t.Errorf("%q %v", b.Modes, b.HeardHours)
	}
	if got, _ := words("south", noon, noon.Add(time.Hour)); !slices.Equal(got, []string{"7000000 12 rtty 1 1 5"}) {
		t.Errorf("%q", got)
	}
	if got, _ := words("", noon.AddDate(0, 0, -3), noon.Add(45*time.Minute)); !slices.Equal(got, []string{"7000000 12 cw 900 1 10", "7000000 12 rtty 1 1 5"}) {
		t.Errorf("%q", got)
	}
}

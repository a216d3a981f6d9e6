package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"ionoscribe/internal/archive"
)

// dayAt is a time of the invented day, such as 06:30.
func dayAt(text string) time.Time {
	t, err := time.Parse("15:04", text)
	if err != nil {
		panic(err)
	}
	return dayNoon.Truncate(24 * time.Hour).Add(time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute)
}

// laneInWords is what a lane shows, without its times of hearing.
func laneInWords(l *lane) string {
	var all []string
	for _, x := range l.Expected {
		all = append(all, fmt.Sprintf("%s %s %s", x.From[11:16], x.Title, x.Outcome))
	}
	for _, c := range l.Came {
		all = append(all, fmt.Sprintf("%s-%s #%d %s", c.Begin[11:16], c.End[11:16], c.Transmission, c.Title))
	}
	return fmt.Sprintf("%s %s: %s", l.Receiver, l.Label, strings.Join(all, ", "))
}

// A night as an operator finds it in the morning: a chart came, one was missed while the receiver's cable was pulled, a bulletin is due,
// and some stations were heard that no programme has.
func TestDay(t *testing.T) {
	d := newDesk(t)
	d.clock = func() time.Time { return dayAt("07:00") }
	turn := func(at string, what archive.What, receiver, text string) {
		d.Incident(archive.Incident{At: dayAt(at), What: what, Receiver: receiver, Text: text})
	}
	for _, receiver := range []string{"", "north", "south"} {
		d.Incident(archive.Incident{At: dayAt("20:00").AddDate(0, 0, -1), What: archive.Started, Receiver: receiver})
	}
	turn("03:00", archive.Stopped, "north", "the cable was pulled")
	turn("04:10", archive.Started, "north", "")
	stay := func(receiver, mode string, hz float64, from, to string) archive.ID {
		id := d.Begin(archive.Transmission{Receiver: receiver, Mode: mode, OnAir: true, Hz: hz, Begun: dayAt(from), Copied: true})
		d.End(id, dayAt(to))
		return id
	}
	d.saveChart("Surface analysis", dayAt("02:00"), 0.8) // chart 1 of transmission 1, on 7878.1 kHz
	stay("north", "fax", 7_878_350, "02:30", "02:45")    // no programme has it
	stay("south", "rtty", 11_039_000, "00:10", "06:50")
	stay("south", "cw", 11_042_300, "01:00", "01:02")
	late := stay("north", "rtty", 7_646_000, "05:03", "05:20") // the bulletin, off its channel
	expect := func(at, title string, hz float64, outcome archive.Outcome, id archive.ID) {
		d.Expect(archive.Expected{Key: title + at, Entry: title, Title: title, Mode: "fax", Hz: hz, At: dayAt(at), Closes: dayAt(at).Add(5 * time.Minute), Outcome: outcome,
			Transmission: id, Quality: 0.8, Why: map[bool]string{true: "receiver north was not connected"}[outcome == archive.Missed]})
	}
	expect("02:00", "Surface analysis", 7_878_100, archive.Came, 1)
	expect("03:30", "Surface analysis", 7_878_100, archive.Missed, 0)
	expect("05:00", "Bulletin", 7_644_000, archive.Came, late)
	expect("07:30", "Bulletin", 7_646_100, archive.Due, 0)
	d.flush()
	var day struct {
		Date  string
		Lanes []*lane
	}
	d.get("/api/day", &day)
	var got []string
	for _, l := range day.Lanes {
		got = append(got, laneInWords(l))
	}
	want := []string{
		"north 7644.0 kHz: 05:00 Bulletin came, 05:03-05:20 #5 ",
		"north 7646.1 kHz: 07:30 Bulletin due",
		"north 7878.1 kHz: 02:00 Surface analysis came, 03:30 Surface analysis missed, 02:00-02:00 #1 Surface analysis, 02:30-02:45 #2 ",
		"south 11039.0 kHz: 00:10-06:50 #3 ",
		"south other: 01:00-01:02 #4 ",
	}
	if day.Date != "2031-05-04" || !slices.Equal(got, want) {
		t.Errorf("%s %q\nwant %q", day.Date, got, want)
	}
	l := day.Lanes[2]
	if fmt.Sprint(l.Heard) != "[[2031-05-04T00:00:00.000Z 2031-05-04T03:00:00.000Z] [2031-05-04T04:10:00.000Z 2031-05-04T07:00:00.000Z]]" ||
		fmt.Sprint(l.Gaps) != "[{2031-05-04T03:00:00.000Z 2031-05-04T04:10:00.000Z the cable was pulled}]" {
		t.Errorf("heard %v, gaps %v", l.Heard, l.Gaps)
	}
	if l.Came[0].Chart != 1 || l.Expected[0].Transmission != 1 || l.Expected[1].Why != "receiver north was not connected" || l.Came[1].Hz != 7_878_350 {
		t.Errorf("%+v", l)
	}
	// The day before, the receivers were heard from the evening on, and that is all.
	d.get("/api/day?date=2031-05-03", &day)
	if len(day.Lanes) != 2 || day.Lanes[0].Label != "other" || len(day.Lanes[0].Heard) != 1 || day.Lanes[0].Heard[0][1] != "2031-05-04T00:00:00.000Z" {
		t.Errorf("%+v", day.Lanes)
	}
	day.Lanes = nil
	d.get("/api/day?date=2031-05-09", &day)
	if day.Lanes == nil || len(day.Lanes) != 0 {
		t.Errorf("%+v", day.Lanes)
	}
	d.refused(d.send("GET", "/api/day?date=2031-5-4", nil), http.StatusBadRequest, "2026-03-04")
}

func TestBand(t *testing.T) {
	d := newDesk(t)
	d.Incident(archive.Incident{At: dayAt("10:00"), What: archive.Started, Receiver: "north"})
	d.hear("north", 7878100, dayNoon, strings.Repeat("GALE WARNING\n", 100))
	d.flush()
	var b struct {
		StepHz     float64 `json:"step_hz"`
		Modes      []string
		Cells      []bandCell
		HeardHours []float64 `json:"heard_hours"`
	}
	d.get("/api/band", &b)
	if len(b.Cells) != 1 || b.Cells[0] != (bandCell{7878000, 12, "rtty", 130, 1, 12}) || b.StepHz != 500 || !slices.Equal(b.Modes, []string{"rtty"}) || len(b.HeardHours) != 24 ||
		b.HeardHours[11] != 1 || b.HeardHours[9] != 0 {
		t.Errorf("%+v", b)
	}
	d.get("/api/band?receiver=south&from_utc=2031-05-04T00:00:00Z&to_utc=2031-05-05T00:00:00Z", &b)
	if len(b.Cells)+len(b.Modes) != 0 {
		t.Errorf("%+v", b)
	}
	for _, wrong := range []string{"from_utc=2031-05-05T00:00:00Z&to_utc=2031-05-04T00:00:00Z", "from_utc=1970-01-01T00:00:00Z"} {
		d.refused(d.send("GET", "/api/band?"+wrong, nil), http.StatusBadRequest, "366 days")
	}
}

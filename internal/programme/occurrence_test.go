package programme

import (
	"slices"
	"strings"
	"testing"
	"time"
)

func at(t *testing.T, s string) time.Time {
	t.Helper()
	v, err := parseInstant(s)
	if err != nil {
		t.Fatal(s, err)
	}
	return v
}

// entry makes one of columns: "times=06:30;days=Mon".
func entry(t *testing.T, s string) Entry {
	t.Helper()
	var e Entry
	for part := range strings.SplitSeq(s, "; ") {
		name, value, _ := strings.Cut(part, "=")
		if err := Set(&e, name, value); err != nil {
			t.Fatal(part, err)
		}
	}
	if e.ID == "" && e.Title == "" {
		e.ID = "x"
	}
	if wrong := e.Complete(Names{Modes: someModes}); len(wrong) > 0 {
		t.Fatal(s, wrong)
	}
	return e
}

// Days of the week are those of the calendar (2026-11-27 is a Friday, 2024 and 2028 are leap years and 2100 is none). The rules of
// daylight saving time in the EU are those of Directive 2000/84/EC: the last Sundays of March and October at 1:00 UTC.
func TestBetween(t *testing.T) {
	for _, c := range []struct{ entry, from, to, want string }{
		{"times=06:30 18:30", "2026-11-27T06:30Z", "2026-11-28T06:30Z", "2026-11-27T06:30Z 2026-11-27T18:30Z"},
		{"times=00:00 23:59", "2026-11-27T23:59Z", "2026-11-28T00:01Z", "2026-11-27T23:59Z 2026-11-28T00:00Z"},
		{"times=06:30; days=Sat-Sun", "2026-11-27T00:00Z", "2026-12-05T00:00Z", "2026-11-28T06:30Z 2026-11-29T06:30Z"},
		{"times=06:30; days=Sun-Mon", "2026-11-27T00:00Z", "2026-12-05T00:00Z", "2026-11-29T06:30Z 2026-11-30T06:30Z"},
		{"times=06:30; from=2026-11-28; to=2026-11-29", "2026-01-01T00:00Z", "2027-01-01T00:00Z", "2026-11-28T06:30Z 2026-11-29T06:30Z"},
		{"times=12:00; from=2028-02-28; to=2028-03-01", "2028-01-01T00:00Z", "2029-01-01T00:00Z", "2028-02-28T12:00Z 2028-02-29T12:00Z 2028-03-01T12:00Z"},
		{"times=12:00", "2100-02-28T00:00Z", "2100-03-02T00:00Z", "2100-02-28T12:00Z 2100-03-01T12:00Z"},
		{"times=12:00; rule=FREQ=YEARLY; from=2024-02-29", "2024-01-01T00:00Z", "2033-01-01T00:00Z", "2024-02-29T12:00Z 2028-02-29T12:00Z 2032-02-29T12:00Z"},
		{"times=06:30; except=2026-11-28T06:30Z; also=2026-11-28T07:00Z", "2026-11-27T00:00Z", "2026-11-29T00:00Z", "2026-11-27T06:30Z 2026-11-28T07:00Z"},
		{"also=2026-11-28T07:00Z", "2026-11-27T00:00Z", "2026-11-29T00:00Z", "2026-11-28T07:00Z"},
		{"times=06:00; zone=Europe/Berlin", "2026-10-24T00:00Z", "2026-10-26T12:00Z", "2026-10-24T04:00Z 2026-10-25T05:00Z 2026-10-26T05:00Z"},
		// A time that clocks leave out, and one that they show twice.
		{"times=02:30; zone=Europe/Berlin", "2026-03-28T00:00Z", "2026-03-30T12:00Z", "2026-03-28T01:30Z 2026-03-29T01:30Z 2026-03-30T00:30Z"},
		{"times=02:30; zone=Europe/Berlin", "2026-10-24T00:00Z", "2026-10-26T12:00Z", "2026-10-24T00:30Z 2026-10-25T00:30Z 2026-10-26T01:30Z"},
		// Days are those of the zone, 14 hours ahead and 11 behind.
		{"times=01:00; days=Sat; zone=Pacific/Kiritimati", "2026-11-27T00:00Z", "2026-12-04T00:00Z", "2026-11-27T11:00Z"},
		{"times=23:00; days=Fri; zone=Pacific/Pago_Pago", "2026-11-27T00:00Z", "2026-12-04T00:00Z", "2026-11-28T10:00Z"},
	} {
		got := times(Between([]Entry{entry(t, c.entry)}, at(t, c.from), at(t, c.to)))
		var want []time.Time
		for _, s := range strings.Fields(c.want) {
			want = append(want, at(t, s))
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s:\n got %v\nwant %v", c.entry, got, want)
		}
	}
}

// However the time is cut into pieces, each occurrence is there once.
func TestBetweenInPieces(t *testing.T) {
	entries := []Entry{
		entry(t, "id=a; times=00:00 23:59"), entry(t, "id=b; times=02:30; zone=Europe/Berlin"), entry(t, "id=c; times=06:00; rule=FREQ=WEEKLY;INTERVAL=3;BYDAY=MO,SU;WKST=SU; from=2020-01-01"),
		entry(t, "id=d; times=00:10; rule=FREQ=HOURLY;INTERVAL=7; from=2019-05-05"), entry(t, "id=e; times=04:00; rule=FREQ=MINUTELY;INTERVAL=37;BYHOUR=4; from=2026-01-03"),
	}
	from, to := at(t, "2026-03-20T00:00Z"), at(t, "2026-04-10T00:00Z")
	want := times(Between(entries, from, to))
	for _, step := range []time.Duration{17 * time.Minute, 5 * time.Hour, 24 * time.Hour} {
		var got []time.Time
		for a := from; a.Before(to); a = a.Add(step) {
			b := a.Add(step)
			if b.After(to) {
				b = to
			}
			got = append(got, times(Between(entries, a, b))...)
		}
		if !slices.Equal(got, want) {
			t.Errorf("in pieces of %v there are %d, and %d as a whole", step, len(got), len(want))
		}
	}
}

func TestMatch(t *testing.T) {
	entries := []Entry{
		entry(t, "id=chart; times=00:00 06:30; frequency=7878.1 kHz; mode=fax; early=2 min; late=10 min; receivers=north south"),
		entry(t, "id=second; times=06:38; frequency=7878.1 kHz; mode=fax; within=500 Hz"),
		entry(t, "id=any; times=20:00"),
		entry(t, "id=low; times=12:00; frequency=4000 kHz"), entry(t, "id=high; times=12:00; frequency=4001 kHz"),
	}
	all := Between(entries, at(t, "2026-11-26T00:00Z"), at(t, "2026-11-29T00:00Z"))
	for _, c := range []struct {
		began, receiver string
		hz              float64
		mode, want      string
	}{
		{"2026-11-27T06:30Z", "north", 7878100, "fax", "chart@2026-11-27T06:30Z"},
		{"2026-11-27T06:28Z", "south", 7878100, "fax", "chart@2026-11-27T06:30Z"},
		{"2026-11-27T06:27Z", "south", 7878100, "fax", ""}, // early
		{"2026-11-27T06:40Z", "north", 7876200, "fax", "chart@2026-11-27T06:30Z"},
		{"2026-11-27T06:41Z", "north", 7876200, "fax", ""}, // late
		{"2026-11-27T06:30Z", "west", 7878100, "fax", ""},
		{"2026-11-27T06:30Z", "north", 7880200, "fax", ""},
		{"2026-11-27T06:30Z", "north", 7878100, "rtty", ""},
		{"2026-11-27T06:30Z", "north", 0, "fax", "chart@2026-11-27T06:30Z"},        // no dial
		{"2026-11-27T06:37Z", "north", 7878100, "fax", "second@2026-11-27T06:38Z"}, // the nearest
		{"2026-11-27T06:37Z", "north", 7879000, "fax", "chart@2026-11-27T06:30Z"},  // of its frequency
		{"2026-11-26T23:59Z", "north", 7878100, "fax", "chart@2026-11-27T00:00Z"},  // over midnight
		{"2026-11-27T20:04Z", "west", 1, "cw", "any@2026-11-27T20:00Z"},
		{"2026-11-27T12:00Z", "west", 4000900, "cw", "high@2026-11-27T12:00Z"},
		{"2026-11-27T12:00Z", "west", 4000100, "cw", "low@2026-11-27T12:00Z"},
	} {
		o, ok := Match(all, at(t, c.began), c.receiver, c.hz, c.mode)
		if got := o.Key(); ok != (c.want != "") || ok && got != c.want {
			t.Errorf("%+v: %v %s", c, ok, got)
		}
	}
}

func TestDiary(t *testing.T) {
	entries := []Entry{
		entry(t, "id=a; times=06:30 18:30; early=2 min; late=5 min; length=20 min"),
		entry(t, "id=night; times=23:58; early=2 min; late=5 min"),
	}
	d := NewDiary(entries, at(t, "2026-11-27T06:00Z"))
	take := func(began, receiver, want string) Occurrence {
		t.Helper()
		o, ok := d.Match(at(t, began), receiver, 0, "fax")
		if ok != (want != "") || ok && o.Key() != want {
			t.Errorf("%s at %s: %v %v", began, receiver, ok, o.Key())
		}
		return o
	}
	missed := func(now string, want ...string) {
		t.Helper()
		var got []string
		for _, o := range d.Missed(at(t, now)) {
			got = append(got, o.Key())
		}
		if !slices.Equal(got, want) {
			t.Errorf("missed by %s: %v, want %v", now, got, want)
		}
	}
	missed("2026-11-27T06:32Z")
	take("2026-11-27T06:31Z", "north", "a@2026-11-27T06:30Z")
	take("2026-11-27T06:32Z", "north", "") // it is taken there
	o := take("2026-11-27T06:32Z", "south", "a@2026-11-27T06:30Z")
	missed("2026-11-27T06:40Z")
	missed("2026-11-27T18:35Z") // the window is open yet
	missed("2026-11-27T18:36Z", "a@2026-11-27T18:30Z")
	missed("2026-11-27T18:36Z")
	missed("2026-11-27T17:36Z") // the clock is put back
	missed("2026-11-27T18:40Z")

	// What came to nothing is missed only if nothing else took it.
	d.GiveBack(o, "south")
	missed("2026-11-27T18:41Z")
	d.GiveBack(o, "north")
	d.GiveBack(o, "north")
	missed("2026-11-27T18:42Z", "a@2026-11-27T06:30Z")

	// Over midnight, and over a change of the programme.
	take("2026-11-28T00:02Z", "north", "night@2026-11-27T23:58Z")
	d.Change(entries[1:])
	missed("2026-11-28T12:00Z")
	missed("2026-11-29T12:00Z", "night@2026-11-28T23:58Z")
	if len(d.taken) != 0 {
		t.Errorf("what is long over is kept: %v", d.taken)
	}

	// A start knows from the archive what was taken.
	d = NewDiary(entries, at(t, "2026-11-27T06:00Z"))
	d.Take(o, "north")
	missed("2026-11-27T07:00Z")
	take("2026-11-27T06:33Z", "north", "")
}

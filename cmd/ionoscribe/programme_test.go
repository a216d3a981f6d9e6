package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const someProgramme = `title,times,days,frequency,mode,length
"North Sea, analysis",06:30 18:30,Mon-Fri,7878.1 kHz,fax,20 min
Gale warning,09:00,,518 kHz,rtty,
`

// 2026-11-27 is a Friday.
func TestProgramme(t *testing.T) {
	csv := put(t, "p.csv", []byte(someProgramme))
	want := `UTC    length  frequency   mode  receivers  title
06:30  20 min  7878.1 kHz  fax              North Sea, analysis
09:00          518 kHz     rtty             Gale warning
18:30  20 min  7878.1 kHz  fax              North Sea, analysis
`
	if status, out, errs := try(nil, "programme", "--on", "2026-11-27", csv); status != 0 || out != want || errs != "" {
		t.Errorf("%d %s\n%s", status, errs, out)
	}
	if status, out, _ := try(nil, "programme", "--on=2026-11-28", "--json", csv); status != 0 || out !=
		`{"at":"2026-11-28T09:00:00Z","opens":"2026-11-28T08:58:00Z","closes":"2026-11-28T09:05:00Z","ends":"2026-11-28T09:00:00Z","id":"gale-warning-518","title":"Gale warning","frequency_hz":518000,"mode":"rtty"}`+"\n" {
		t.Error(status, out)
	}

	// Through all forms, by pipe and by file, and as a station's.
	_, ical, _ := try(nil, "programme", "--as", "ical", csv)
	if !strings.HasPrefix(ical, "BEGIN:VCALENDAR\r\n") || strings.Count(ical, "BEGIN:VEVENT") != 3 {
		t.Error(ical)
	}
	station := t.TempDir()
	toml := filepath.Join(station, "entries.toml")
	if status, out, errs := try([]byte(ical), "programme", "--as", "toml", "-o", toml, "-"); status != 0 || out+errs != "" {
		t.Error(status, out, errs)
	}
	entries, err := os.ReadFile(toml)
	must(t, err)
	must(t, os.WriteFile(filepath.Join(station, "station.toml"), append([]byte("[[receiver]]\nname = 'a'\nsource = 'x.flac'\n"), entries...), 0o666))
	if status, out, errs := try(nil, "programme", "--on", "2026-11-27", station); status != 0 || out != want {
		t.Errorf("%d %s\n%s\n%s", status, errs, out, entries)
	}
}

func TestProgrammeProblems(t *testing.T) {
	csv := put(t, "p.csv", []byte(someProgramme))
	bad := put(t, "bad.csv", []byte("title,times,mode\na,6,fax\nb,07:00,fx\n"))
	ics := put(t, "p.ics", []byte("BEGIN:VCALENDAR\nVERSION:2.0\nBEGIN:VEVENT\nUID:1\nSUMMARY:Holiday\nDTSTART;VALUE=DATE:20261127\nEND:VEVENT\nBEGIN:VEVENT\nUID:2\nSUMMARY:Review\nDTSTART:20261127T100000Z\nEND:VEVENT\nEND:VCALENDAR\n"))
	odd := put(t, "station.toml", []byte("[[receiver]]\nname = 'a'\nsorce = 'x'\n"))
	for _, c := range []struct {
		args   string
		status int
		errs   string
		out    string
	}{
		{"--on 2026-11-31 " + csv, statusUsage, `--on "2026-11-31" is not today, tomorrow or a day such as 2026-11-27`, ""},
		{"--as xml " + csv, statusUsage, `--as "xml" is none of csv, ical, toml`, ""},
		{"--out x " + csv, statusUsage, `--out is for --as`, ""},
		{"--as csv --out " + csv + " " + csv, statusUsage, `would overwrite what is read`, ""},
		{"--on 1999-01-01 " + ics, statusFailed, `the event "Holiday": it is of a whole day`, ""},
		{"--on 2000-01-01 " + put(t, "q.csv", []byte("title,times,from\na,06:00,2026-01-01\n")), statusNoChart, `nothing is expected on 2000-01-01`, ""},
		{csv + ".none", statusFailed, `p.csv.none: no such file or directory; check the name and the permissions`, ""},
		{csv + " " + csv + " " + bad, statusFailed, `bad.csv:2:3: times "6" is not a time of the day such as 06:30`, ""},
		{"--on 2026-11-27 " + csv + " " + put(t, "again.csv", []byte(someProgramme)), statusFailed, `an entry has the id gale-warning-518, as one of `, "06:30"},
		{"--on 2026-11-27 " + ics, statusFailed, `p.ics:3: the event "Holiday": it is of a whole day; give it a time, or remove it`, "10:00"},
		{odd, statusUsage, `station.toml:3:1: "sorce" is not known; did you mean source?`, ""},
		{odd + " " + csv, statusUsage, `a station is read alone`, ""},
	} {
		status, out, errs := try(nil, append([]string{"programme"}, strings.Fields(c.args)...)...)
		if status != c.status || !strings.Contains(errs, c.errs) || !strings.Contains(out, c.out) {
			t.Errorf("%s: %d %s %s", c.args, status, errs, out)
		}
	}
}

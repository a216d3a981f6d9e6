package stationfile

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"ionoscribe/internal/fault"
	"ionoscribe/internal/programme"
)

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// put writes a file in a new folder.
func put(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	must(t, os.WriteFile(path, []byte(text), 0o666))
	return path
}

const full = `
name = "Island"
place = "Lighthouse"
listen = "[::1]:8073"
programme_files = ["more.csv", "more.ics"]

[keep]
charts = "400 days, 20 GB"
texts = "for ever"
videos = "5 GB"
sound = "6 h"

[[receiver]]
name = "north"
source = "device:USB?channel=right"
dial = "7878.1 kHz"
sideband = "lower"
channel = 2
copy = ["fax", "cw"]
hours = ["18:00-06:30", "12:00-13:00"]
tune = { command = ["set-dial", "--khz={khz}", "{sideband}"], timeout = "3 s" }

[[receiver]]
name = "band"
source = "tcp://10.0.0.7:1234"
iq = "swapped"
place = "Hut"
copy = "all"
sound = "2 GB"

[[receiver]]
name = "quiet"
source = "night.flac"
sound = "none"

[[programme]]
title = "Analysis"
times = ["06:30", "18:30"]
days = "Mon-Fri"
from = 2026-01-01
frequency = "7878.1 kHz"
mode = "fax"
receivers = ["north"]
length = "20 min"

[[programme]]
title = "Noon"
times = 12:00:00

[[way]]
name = "script"
command = ["tell"]

[[alert]]
name = "missed"
programme = ["missed"]
entries = ["analysis-7878.1", "gale"]
receivers = ["north"]
modes = ["fax"]
ways = ["script"]
`

func putFull(t *testing.T) string {
	path := put(t, Name, full)
	folder := filepath.Dir(path)
	must(t, os.WriteFile(filepath.Join(folder, "more.csv"), []byte("id,times\ngale,09:00\n"), 0o666))
	must(t, os.WriteFile(filepath.Join(folder, "more.ics"), []byte("BEGIN:VCALENDAR\nVERSION:2.0\nBEGIN:VEVENT\nUID:1\nSUMMARY:Review\nDTSTART:20261127T063000Z\nEND:VEVENT\nEND:VCALENDAR\n"), 0o666))
	return path
}

func TestLoad(t *testing.T) {
	path := putFull(t)
	seen := 0
	c, err := Load(path, func(r Receiver) error { seen++; return nil })
	must(t, err)
	north := Receiver{Name: "north", Source: "device:USB?channel=right", DialHz: 7878100, Sideband: "lower", Channel: "2", Place: "Lighthouse",
		Modes: []string{"fax", "cw"}, Hours: []Hours{{18 * 60, 6*60 + 30}, {12 * 60, 13 * 60}}, Sound: 6 * time.Hour,
		Tune: &Tune{Command: []string{"set-dial", "--khz={khz}", "{sideband}"}, Timeout: 3 * time.Second}}
	band := Receiver{Name: "band", Source: "tcp://10.0.0.7:1234", Sideband: "upper", Channel: "left", IQ: "swapped", Place: "Hut", Sound: ever, SoundBytes: 2e9}
	quiet := Receiver{Name: "quiet", Source: "night.flac", Sideband: "upper", Channel: "left", Place: "Lighthouse"}
	if want := []Receiver{north, band, quiet}; !reflect.DeepEqual(c.Receivers, want) || seen != 3 {
		t.Errorf("\n got %+v\nwant %+v", c.Receivers, want)
	}
	if want := (Keep{Limit{400 * 24 * time.Hour, 20e9}, Limit{}, Limit{0, 5e9}}); c.Keep != want {
		t.Errorf("%+v", c.Keep)
	}
	var ids []string
	for _, e := range c.Programme {
		ids = append(ids, e.ID)
	}
	if s := strings.Join(ids, " "); s != "analysis-7878.1 noon gale review" {
		t.Error(s)
	}
	if e := c.Programme[0]; e.From != (programme.Date{Year: 2026, Month: 1, Day: 1}) || len(e.Times) != 2 || e.Length != 20*time.Minute || c.Programme[1].Times[0] != 720 {
		t.Errorf("%+v", c.Programme)
	}
	if c.Name != "Island" || c.Page.Listen != "[::1]:8073" || len(c.Alerts) != 1 || len(c.Ways) != 1 || c.Alerts[0].Entries[1] != "gale" || c.Path != path {
		t.Errorf("%+v", c)
	}
}

// Each mistake is told with the line and the column of what is wrong, and what mends it. A mistake is made by replacing a part of
// a file that is right.
func TestProblems(t *testing.T) {
	for _, c := range []struct{ old, by, want string }{
		{`name = "Island"`, `nmae = "Island"`, `:2:1: "nmae" is not known; did you mean name?`},
		{`name = "Island"`, `colour = "red"`, `:2:1: "colour" is not known; there are: name, place, listen, page, keep, receiver, programme, programme_files, way, alert`},
		{`name = "Island"`, `name = "Island`, `:2:15: it is not TOML: `},
		{`name = "Island"`, `name = ["Island"]`, `:2:8: name is not a text`},
		{`place = "Lighthouse"`, `name = "again"`, `:3:1: it is not TOML: `},
		{`"[::1]:8073"`, `"0.0.0.0:8073"`, `:4:10: other computers reach this address, and nobody is asked for a password; add a [[page.user]] (ionoscribe watch --password NAME makes it), or listen at 127.0.0.1`},
		{`"[::1]:8073"`, `"station.example:8073"`, `:4:10: "station.example:8073" is not an address and a port; write it like 127.0.0.1:8073`},
		{`"[::1]:8073"`, `8073`, `:4:10: "8073" is not an address and a port; write it like 127.0.0.1:8073`},
		{`"400 days, 20 GB"`, `"400"`, `:8:10: charts "400" is neither a length of time nor a number of bytes; write such as "400 days", "20 GB", "400 days, 20 GB" or "for ever"`},
		{`charts = "400`, `chart = "400`, `:8:1: "chart" is not known; did you mean charts?`},
		{`sound = "6 h"`, `sound = "for ever"`, `:11:9: the sound of a receiver cannot be kept for ever; write such as 12 h`},
		{`[keep]`, `[[keep]]`, `:7:3: keep is not a table; write [keep]`},
		{`name = "north"`, ``, `:13:3: a receiver has no name; write such as name = "north"`},
		{`name = "north"`, `name = "no/rth"`, `:14:8: the name "no/rth" cannot be that of a folder; use letters, digits, - . and _`},
		{`name = "band"`, `name = "North"`, `:24:8: there is a receiver north already; give one of them another name`},
		{`source = "device:USB?channel=right"`, `sorce = "x"`, `:15:1: "sorce" is not known; did you mean source?`},
		{`"7878.1 kHz"`, `7878.1`, `:16:8: dial "7878.1" has no unit such as kHz, MHz or Hz; write such as 7878.1 kHz`},
		{`"7878.1 kHz"`, `"around 7 MHz"`, `:16:8: dial "around 7 MHz" is not a frequency`},
		{`sideband = "lower"`, `sideband = "usb"`, `:17:12: sideband "usb" is not known; there are: upper, lower`},
		{`channel = 2`, `channel = 0`, `:18:11: channel "0" is not known; there are: left, right, mix, and numbers from 1 on`},
		{`["fax", "cw"]`, `["fax", "cv"]`, `:19:16: "cv" is not a mode; did you mean cw?`},
		{`["fax", "cw"]`, `["fax", "rty"]`, `:19:16: "rty" is not a mode; did you mean rtty?`},
		{`["fax", "cw"]`, `[]`, `:19:8: nothing is to be copied; leave it out to copy all`},
		{`"12:00-13:00"]`, `"12-13"]`, `:20:25: hours "12-13" are not a part of the day; write such as 18:00-06:30, in UTC`},
		{`["set-dial", "--khz={khz}", "{sideband}"]`, `["set-dial", "{kHz}"]`, `:21:33: "{kHz}" stands for nothing; there are: {receiver}, {hz}, {khz}, {sideband}, {mode}`},
		{`command = ["set-dial", "--khz={khz}", "{sideband}"], `, ``, `:21:1: it is not said which command tunes the receiver; write such as command = ["set-dial", "{khz}"]`},
		{`timeout = "3 s"`, `timeout = 3`, `:21:73: timeout "3" is not a length of time`},
		{`timeout = "3 s"`, `tiemout = "3 s"`, `:21:63: "tiemout" is not known; did you mean timeout?`},
		{`iq = "swapped"`, `iq = "yes"`, `:26:6: iq "yes" is not known; there are: normal, swapped, mirrored`},
		{`["06:30", "18:30"]`, `["06:30", "25:00"]`, `:38:9: times "06:30 25:00" is not a time of the day such as 06:30`},
		{`title = "Analysis"`, `titel = "Analysis"`, `:37:1: "titel" is not known; did you mean title?`},
		{`times = 12:00:00`, ``, `:46:3: the entry has no times; give one or more, such as 06:30`},
		{`mode = "fax"`, `mode = "FAX"`, `:42:8: "FAX" is not a mode; did you mean fax?`},
		{`receivers = ["north"]` + "\nlength", `receivers = ["nort"]` + "\nlength", `:43:13: there is no receiver "nort"; did you mean north?`},
		{`title = "Noon"`, "title = \"Noon\"\nid = \"analysis-7878.1\"", `:48:6: another entry of the programme has the id analysis-7878.1 too; give one of them an id of its own`},
		{`title = "Noon"`, `id = "gale"`, `:5:20: an entry of more.csv has the id gale as one of station.toml has; give one of them an id of its own`},
		{`"more.csv"`, `"none.csv"`, `:5:20: the programme file none.csv cannot be read: no such file or directory; correct its name, or take it out`},
		{`command = ["tell"]`, `command = "tell"`, `:52:11: command: the value is of the wrong kind, string; write a list, [ ], of which each is a text in quotes`},
		{`command = ["tell"]`, "command = [\"tell\"]\ntimeout = 3", `:53:11: timeout: "3" is no duration; write it like "10m" or "2h30m"`},
		{`command = ["tell"]`, "[way.mail]\nserver = \"mail:25\"\nfrom = \"a@b\"\nto = [\"a@b\"]\ntsl = \"none\"", `:56:1: "tsl" is not known; did you mean tls?`},
		{`command = ["tell"]`, "webhook = { url = \"ftp://x\" }", `:52:19: "ftp://x" is no address of a webhook; write it like "https://host/path"`},
		{`programme = ["missed"]`, `programm = ["missed"]`, `:56:1: "programm" is not known; did you mean programme?`},
		{`programme = ["missed"]`, `programme = ["mist"]`, `:56:13: "mist" is unknown; there are `},
		{`"gale"]` + "\nreceivers", `"gail"]` + "\nreceivers", `:57:31: there is no entry of the programme "gail"; did you mean gale?`},
		{`receivers = ["north"]` + "\nmodes", `receivers = ["south"]` + "\nmodes", `:58:14: there is no receiver "south"; did you mean north?`},
		{`modes = ["fax"]`, `modes = ["fox"]`, `:59:10: there is no mode "fox"; did you mean fax?`},
		{`ways = ["script"]`, `ways = ["skript"]`, `:60:8: there is no way out with the name "skript"`},
		{`ways = ["script"]`, "ways = [\"script\"]\nquiet = [\"22-6\"]", `:61:9: quiet: "22-6" is no range of hours; write it like "22:00-06:30", in UTC`},
	} {
		path := putFull(t)
		text := strings.Replace(full, c.old, c.by, 1)
		if text == full {
			t.Fatal("there is no ", c.old)
		}
		must(t, os.WriteFile(path, []byte(text), 0o666))
		_, err := Load(path)
		problems, ok := errors.AsType[Problems](err)
		if !ok || len(problems) == 0 {
			t.Errorf("%s: %v", c.by, err)
			continue
		}
		if len(problems) > 1 {
			t.Errorf("%s: more than one is told:\n%v", c.by, err)
		}
		if got := strings.ReplaceAll(problems[0].Error(), filepath.Dir(path)+"/", ""); !strings.HasPrefix(got, Name+c.want) {
			t.Errorf("%s:\n got %s\nwant %s", c.by, err, Name+c.want)
		}
	}
}

// All mistakes are told, in order.
func TestAllProblemsAtOnce(t *testing.T) {
	path := put(t, Name, "listen = 1\n[[receiver]]\nname = \"a\"\ndial = 1\nhours = 3\n[[receiver]]\nsource = \"x\"\nsideband = \"q\"\n[[alert]]\nx = 1\ntext = 5\n")
	_, err := Load(path)
	problems, _ := errors.AsType[Problems](err)
	var lines []int
	for _, p := range problems {
		lines = append(lines, p.Line)
	}
	if want := []int{1, 2, 4, 5, 6, 8, 10, 11}; !reflect.DeepEqual(lines, want) {
		t.Errorf("lines %v, want %v:\n%v", lines, want, err)
	}
	each := err.(interface{ Unwrap() []error }).Unwrap()
	if len(each) != len(problems) || strings.Count(err.Error(), "\n") != len(each)-1 {
		t.Errorf("%d of %d", len(each), len(problems))
	}
}

// Entries that are written are read again as they were.
func TestWriteEntries(t *testing.T) {
	csv := "title,times,days,from,to,frequency,mode,receivers,length,early,late,within,rule,except,also,zone\n" +
		"\"North, \"\"Sea\"\" \\ 'x'\",06:30 18:30,Mon-Fri,2026-01-01,2026-12-31,7878.1 kHz,fax,a,20 min,1 min,10 min,500 Hz,,2026-12-25T06:30Z,2026-12-26T07:00Z,\n" +
		"Review,06:00,,2026-02-02,,,,,90 s,,,,FREQ=MONTHLY;BYDAY=1MO,,,Europe/Berlin\n"
	entries, err := programme.ReadCSV(strings.NewReader(csv), "x.csv", programme.Names{Modes: modeNames()})
	must(t, err)
	b := strings.Builder{}
	b.WriteString("[[receiver]]\nname = 'a'\nsource = 'x'\n")
	must(t, WriteEntries(&b, entries))
	c, err := Load(put(t, Name, b.String()))
	if err != nil || !reflect.DeepEqual(c.Programme, entries) {
		t.Errorf("%v\n%s\n got %+v\nwant %+v", err, b.String(), c, entries)
	}
}

// What a check of the command says is told at the source.
func TestChecks(t *testing.T) {
	_, err := Load(putFull(t), func(r Receiver) error {
		if r.Name == "band" {
			return errors.New("there is no such thing; take another")
		}
		return nil
	})
	if err == nil || !strings.Contains(err.Error(), Name+":25:10: there is no such thing; take another") {
		t.Error(err)
	}
}

func TestNoFile(t *testing.T) {
	_, err := Load(filepath.Join(t.TempDir(), Name))
	if e, ok := errors.AsType[*fault.Error](err); !ok || !strings.Contains(e.Mend, "ionoscribe watch --init") {
		t.Error(err)
	}
	_, err = Load(put(t, Name, ""))
	if err == nil || !strings.HasSuffix(err.Error(), Name+":1:1: the station has no receiver; add [[receiver]] with name and source") {
		t.Error(err)
	}
}

func FuzzLoad(f *testing.F) {
	f.Add(full)
	f.Add(string(Template([]string{"device:a"})))
	f.Fuzz(func(t *testing.T, text string) {
		path := filepath.Join(t.TempDir(), Name)
		must(t, os.WriteFile(path, []byte(text), 0o666))
		_, err := Load(path)
		problems, ok := errors.AsType[Problems](err)
		if err != nil && !ok {
			t.Fatal(err)
		}
		for _, p := range problems {
			if p.Line < 0 || p.Line > strings.Count(text, "\n")+1 || p.Message == "" {
				t.Fatalf("%+v", p)
			}
		}
	})
}

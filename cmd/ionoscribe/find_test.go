package main

import (
	"encoding/json"
	"image"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ionoscribe/internal/alerts"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/chartfile"
)

// archived makes a station that has heard a bulletin, a chart and calls.
func archived(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	a, err := archive.Open(dir, archive.Options{})
	must(t, err)
	begun := time.Date(2031, 5, 4, 12, 0, 0, 0, time.UTC)
	hear := func(mode string, hz float64, begun time.Time, title, text string) {
		id := a.Begin(archive.Transmission{Receiver: "north", Mode: mode, OnAir: true, Hz: hz, Begun: begun, SNR: 12, Copied: true, Title: title})
		for i, r := range text {
			confidence := 0.98
			if r == 'X' {
				confidence = 0.3
			}
			a.Text(id, archive.Char{At: begun.Add(time.Duration(i) * 150 * time.Millisecond), Text: string(r), Confidence: confidence})
		}
		a.End(id, begun.Add(time.Hour))
	}
	hear("rtty", 7878100, begun, "", "GALE WARNING OSTREL SEA\nNO ICE")
	hear("rtty", 4500000, begun.Add(24*time.Hour), "Morning bulletin", "GAXE IN FORCE")
	hear("cw", 7012300, begun.Add(48*time.Hour), "", "CQ DE ZZ9ABC K")
	id := a.Begin(archive.Transmission{Receiver: "south", Mode: "fax", OnAir: true, Hz: 7878100, Begun: begun.Add(72 * time.Hour), Title: "Surface analysis"})
	picture, _, err := chartfile.Save(a.Folder(begun), &chartfile.Chart{Info: chartfile.Info{Start: begun, LPM: 120, IOC: 576, Quality: chartfile.Quality{0.9}}, Image: image.NewGray(image.Rect(0, 0, 100, 50))}, nil)
	must(t, err)
	a.Chart(id, archive.Chart{Picture: picture, Info: chartfile.Info{Start: begun, Quality: chartfile.Quality{0.9}}})
	a.End(id, begun.Add(73*time.Hour))
	must(t, a.Close())
	return dir
}

func TestFind(t *testing.T) {
	dir := archived(t)
	for _, c := range []struct {
		args  string
		found string // numbers, the latest first
	}{
		{"", "4 3 2 1"},
		{"gale", "1"},
		{"gale|warning", "1"},
		{"gale warning", "1"},
		{"warning gale", ""},
		{"warning|gale", "1"},
		{"~gale", "2 1"},
		{"~gale -ice", "2"},
		{"meteo*", ""},
		{"ostr*", "1"},
		{"analysis", "4"},
		{"--title|bulletin", "2"},
		{"--mode|rtty,cw", "3 2 1"},
		{"--mode|rtty|--mode|fax", "4 2 1"},
		{"--receiver|south", "4"},
		{"--frequency|7878kHz", "4 1"},
		{"--frequency|7MHz-7.1MHz", "3"},
		{"--from|2031-05-06", "4 3"},
		{"--to|2031-05-04", "1"},
		{"--from|2031-05-05T12:30|--to|2031-05-05T12:45", "2"},
		{"--quality|0.97", "3 1"},
		{"--limit|2", "4 3"},
		{"--limit|0", "4 3 2 1"},
		{"--before|3", "2 1"},
		{"--favourites", ""},
	} {
		args := []string{"find", "--station", dir, "--json"}
		if c.args != "" {
			args = append(args, strings.Split(c.args, "|")...)
		}
		status, out, errs := try(nil, args...)
		var found []string
		for line := range strings.Lines(out) {
			var o struct {
				Number json.Number `json:"transmission"`
			}
			must(t, json.Unmarshal([]byte(line), &o))
			found = append(found, o.Number.String())
		}
		if got := strings.Join(found, " "); got != c.found {
			t.Errorf("%s: %q, want %q; %s", c.args, got, c.found, errs)
		}
		if want := map[bool]int{true: statusNoChart, false: statusOK}[c.found == ""]; status != want {
			t.Errorf("%s: status %d", c.args, status)
		}
	}
}

// An archive that is right has no problems; a chart whose file is gone is one.
func TestFindProblems(t *testing.T) {
	dir := archived(t)
	if status, out, errs := try(nil, "find", "--station", dir, "--list", "problems"); status != statusNoChart || out != "" {
		t.Errorf("%d %q %q", status, out, errs)
	}
	must(t, os.RemoveAll(filepath.Join(dir, "2031")))
	status, out, errs := try(nil, "find", "--station", dir, "--list", "problems")
	if want := "2031/05/04/20310504T120000Z-120-576.png: transmission 4: a chart's file is not there; copy it from a backup\n"; status != statusOK || !strings.HasSuffix(out, want) {
		t.Errorf("%d %q %q", status, out, errs)
	}
}

// What a station knows beside transmissions is listed, of the last day or of a time.
func TestFindList(t *testing.T) {
	dir := t.TempDir()
	a, err := archive.Open(dir, archive.Options{})
	must(t, err)
	at := time.Date(2031, 5, 4, 12, 0, 0, 0, time.UTC)
	for _, x := range []archive.Expected{
		{Key: "a", Title: "Surface analysis", At: at, Outcome: archive.Due},
		{Key: "a", Receiver: "north", Title: "Surface analysis", At: at, Outcome: archive.Came, Transmission: 7, Quality: 0.93},
		{Key: "b", Title: "Ice chart", At: at.Add(time.Hour), Outcome: archive.Missed, Why: "receiver north was not connected"},
	} {
		a.Expect(x)
	}
	a.Incident(archive.Incident{At: at, What: archive.Gap, Receiver: "north", Seconds: 1.5})
	a.Deleted(archive.Deletion{At: at, Kind: archive.Sound, Path: "sound/north/x.flac", Bytes: 1234, Reason: "it was older than a day"})
	_, err = a.Outbox().Add(alerts.Alert{Rule: "gales", Made: at, Summary: "GALE\x1b[31m"}, []string{"mail"})
	must(t, err)
	must(t, a.Close())
	for list, want := range map[string]string{
		"expected": `due                   outcome  receiver      transmission  quality  title
2031-05-04T12:00:00Z  came     north                    7     0.93  Surface analysis
2031-05-04T13:00:00Z  missed                                        Ice chart  receiver north was not connected
`,
		"incidents": `time                  what      receiver      text
2031-05-04T12:00:00Z  gap       north         1.50 s
`,
		"deleted": `time                  kind         bytes  reason, and what it was
2031-05-04T12:00:00Z  sound         1234  it was older than a day  sound/north/x.flac
`,
		"alerts": `time                  state      rule          way           attempts  what, and the reply
2031-05-04T12:00:00Z  pending    gales         mail                 0  GALE[31m
`,
	} {
		args := []string{"find", "--station", dir, "--list", list}
		if status, out, errs := try(nil, append(args, "--from", "2031-05-04", "--to", "2031-05-04")...); status != statusOK || out != want || errs != "" {
			t.Errorf("%s: %d %q\n%s", list, status, errs, out)
		}
		status, out, _ := try(nil, append(args, "--from", "2031-05-04", "--to", "2031-05-04", "--json")...)
		if status != statusOK || strings.Count(out, "\n") != strings.Count(want, "\n")-1 || !json.Valid([]byte(strings.SplitN(out, "\n", 2)[0])) {
			t.Errorf("%s: %d %s", list, status, out)
		}
		if status, _, errs := try(nil, args...); status != statusNoChart { // the last day
			t.Errorf("%s: %d %q", list, status, errs)
		}
	}
}

func TestFindTable(t *testing.T) {
	dir := archived(t)
	status, out, errs := try(nil, "find", "--station", dir, "~gale")
	want := findHeader + `
     2  2031-05-05T12:00:00Z    4500.00 kHz  rtty     north            12.0     0.93  Morning bulletin
        2031-05-05T12:00:00Z  GAXE IN FORCE
     1  2031-05-04T12:00:00Z    7878.10 kHz  rtty     north            12.0     0.98
        2031-05-04T12:00:00Z  GALE WARNING OSTREL SEA
`
	if status != statusOK || out != want || errs != "" {
		t.Errorf("%d %q\n%s", status, errs, out)
	}
	if _, _, errs := try(nil, "find", "--station", dir, "--limit", "2"); !strings.Contains(errs, "--before 3 shows what comes next") {
		t.Error(errs)
	}
	status, out, errs = try(nil, "find", "--station", dir, "hurricane")
	if status != statusNoChart || out != "" || !strings.Contains(errs, "nothing was found in "+dir) {
		t.Errorf("%d %q %q", status, out, errs)
	}
	oneError(t, errs)
}

func TestFindExport(t *testing.T) {
	dir, to := archived(t), t.TempDir()
	for form, says := range map[string]string{"text": "GALE WARNING OSTREL SEA\n", "csv": "transmission,receiver,mode", "json": `"confidence":0.3`, "adif": "<CALL:6>ZZ9ABC"} {
		status, out, errs := try(nil, "find", "--station", dir, "--as", form)
		file := filepath.Join(to, form)
		status2, out2, _ := try(nil, "find", "--station", dir, "--as", form, "--out", file)
		b, err := os.ReadFile(file)
		must(t, err)
		if status != statusOK || status2 != statusOK || !strings.Contains(out, says) || string(b) != out || out2 != "" || errs != "" {
			t.Errorf("%s: %d %q %q", form, status, out, errs)
		}
	}
	charts := filepath.Join(to, "charts")
	if status, _, errs := try(nil, "find", "--station", dir, "--as", "charts", "-o", charts); status != statusOK {
		t.Error(errs)
	}
	if files, err := os.ReadDir(charts); err != nil || len(files) != 2 {
		t.Errorf("%v %v", files, err)
	}
	none := filepath.Join(to, "none")
	if status, _, _ := try(nil, "find", "--station", dir, "--as", "csv", "-o", none, "hurricane"); status != statusNoChart {
		t.Error(status)
	}
	if _, err := os.Stat(none); err == nil {
		t.Error("a file was written of nothing")
	}
}

func TestFindRefuses(t *testing.T) {
	dir := archived(t)
	for says, args := range map[string]string{
		"no closing quotation mark":         `"gale`,
		"is none of":                        "--mode|telex",
		"--as \"xml\" is none of text":      "--as|xml",
		"needs a folder":                    "--as|charts",
		"--out is for --as":                 "--out|x",
		"is not a frequency":                "--frequency|blue",
		"the higher frequency first":        "--frequency|8MHz-7MHz",
		"is not a time such as":             "--from|yesterday",
		"not before the one until":          "--from|2031-05-05|--to|2031-05-04",
		"not between 0 and 1":               "--quality|2",
		"not between 1 and 5":               "--rating|9",
		"--last takes the place of --from":  "--last|12h|--from|2031-05-05",
		"--json lists what is found":        "--json|--as|csv",
		"--last \"soon\"":                   "--last|soon",
		"has a * that is not at its end":    "ga*le",
		"is no number of a transmission":    "--before=-3",
		"has no letter or figure; leave it": "=",
		"--title":                           "--titel|x",
		"is none of expected, incidents":    "--list|things",
		"--list takes no words":             "--list|expected|gale",
		"--mode does not go with --list":    "--list|expected|--mode|cw",
	} {
		status, out, errs := try(nil, append([]string{"find", "--station", dir}, strings.Split(args, "|")...)...)
		if status != statusUsage || out != "" || !strings.Contains(errs, says) {
			t.Errorf("%s: %d %q %q", args, status, out, errs)
		}
		oneError(t, errs)
	}
	status, _, errs := try(nil, "find", "--station", t.TempDir())
	if status != statusFailed || !strings.Contains(errs, "it is not there; name the folder of a station with --station") {
		t.Errorf("%d %q", status, errs)
	}
}

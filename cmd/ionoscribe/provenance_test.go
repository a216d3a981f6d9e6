package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ionoscribe/internal/filing"
)

// Where time and frequency are from is said on standard error and in JSON; what is ordered wins.
func TestProvenance(t *testing.T) {
	signalsAlone(t)
	status, wav, errs := try(nil, "synth", "cw", "--wpm=25", "--snr=20", "--rate=8000", "-o", "-", strings.Repeat("GALE WARNING OSTREL SEA ", 4))
	if status != 0 {
		t.Fatal(errs)
	}
	dir := t.TempDir()
	named := filepath.Join(dir, "20261126T211500Z-7878.1kHz.wav")
	plain := filepath.Join(dir, "plain.wav")
	for _, path := range []string{named, plain} {
		must(t, os.WriteFile(path, []byte(wav), 0o666))
	}
	for _, c := range []struct {
		args       []string
		said       string // on standard error
		begin      string // of begin_utc
		from, dial string
		low, high  float64 // of hz
	}{
		{[]string{named}, "began 2026-11-26T21:15:00Z, from its name; dial 7878.1 kHz, from its name", "2026-11-26T21:15:0", "file name", "file name", 7878300, 7879500},
		{[]string{"--start=2026-01-01T00:00:00Z", "--dial=4610000", named}, "", "2026-01-01T00:00:0", "ordered", "ordered", 4610200, 4611400},
		{[]string{plain}, "Z, from the file's date (--start orders another)", "", "file time", "", 200, 1400},
		{[]string{"-"}, "--start gives it", "", "clock, a pipe faster than time", "", 200, 1400},
	} {
		status, out, errs := tryAll([]byte(wav), append([]string{"survey", "--json"}, c.args...)...)
		var e filing.Finding
		if err := json.Unmarshal([]byte(out), &e); err != nil || status != 0 {
			t.Errorf("%v: %d %q %v %q", c.args, status, out, err, errs)
			continue
		}
		if !strings.Contains(errs, c.said) || (c.said == "") != (errs == "") {
			t.Errorf("%v: %q", c.args, errs)
		}
		if !strings.HasPrefix(e.Begin, c.begin) || e.TimeFrom != c.from || e.DialFrom != c.dial || e.Hz < c.low || e.Hz > c.high {
			t.Errorf("%v: %+v", c.args, e)
		}
	}
}

// A recording that tells that it is complex needs no --iq; one that looks so gets a hint.
func TestComplexByItself(t *testing.T) {
	signalsAlone(t)
	dir := t.TempDir()
	wav := filepath.Join(dir, "band.wav")
	status, _, errs := try(nil, "synth", "band", "--rate=12000", "--minutes=1", "--cw=3", "--rtty=0", "--fax=0", "-o", wav)
	if status != 0 {
		t.Fatal(errs)
	}
	_, ordered, _ := tryAll(nil, "survey", "--json", "--iq=normal", "--start=2026-01-01T00:00:00Z", wav)
	_, _, errs = tryAll(nil, "survey", wav)
	if !strings.Contains(errs, "look like I and Q") {
		t.Errorf("no hint: %q", errs)
	}
	b, err := os.ReadFile(wav)
	must(t, err)
	data := b[strings.Index(string(b), "data")+8:]
	meta := `{"global": {"core:datatype": "KIND", "core:sample_rate": 12000}, "captures": [{"core:sample_start": 0, "core:datetime": "2026-01-01T00:00:00Z"}]}`
	must(t, os.WriteFile(filepath.Join(dir, "band.sigmf-data"), data, 0o666))
	kind := "ci16_le"
	if strings.Contains(string(b[:100]), "fact") {
		kind = "cf32_le"
	}
	must(t, os.WriteFile(filepath.Join(dir, "band.sigmf-meta"), []byte(strings.Replace(meta, "KIND", kind, 1)), 0o666))
	status, out, errs := tryAll(nil, "survey", "--json", filepath.Join(dir, "band.sigmf-meta"))
	if status != 0 || strings.Count(out, "\n") < 3 || strings.Count(out, "\n") != strings.Count(ordered, "\n") || !strings.Contains(errs, "from its SigMF metadata") {
		t.Errorf("%d %q %q, ordered %q", status, out, errs, ordered)
	}
}

// What is wider than is searched at a time can be tuned in.
func TestWiderThanSearched(t *testing.T) {
	path := put(t, "band.cu8", make([]byte, 200000))
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"survey", "--rate=250000", path}, "250000 Hz wide"},
		{[]string{"rtty", "--rate=250000", "--tune=-50000", path}, "no text was received"},
		{[]string{"survey", path}, "give --rate"},
		{[]string{"rtty", "--rate=5e6", path}, "resample it"},
	} {
		status, _, errs := try(nil, c.args...)
		if status == 0 || !strings.Contains(errs, c.want) {
			t.Errorf("%v: %d %q", c.args, status, errs)
		}
		oneError(t, errs)
	}
}

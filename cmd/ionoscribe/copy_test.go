package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A chart and a bulletin, from two sources at a time: files, headings and a summary; and as JSON.
func TestCopy(t *testing.T) {
	status, wav, errs := try(nil, "synth", "rtty", bulletin, "--rate=8000", "--snr=10", "--lead=4", "--trail=4", "-o", "-")
	if status != 0 || errs != "" {
		t.Fatal(status, errs)
	}
	text, chart := put(t, "text.wav", []byte(wav)), put(t, "chart.wav", recording)
	dir := filepath.Join(t.TempDir(), "new")
	status, out, errs := try(nil, "copy", "--dial=7000000", "-o", dir, text, chart)
	if status != 0 || errs != "" {
		t.Error(status, errs)
	}
	if len(saved(t, dir)) != 1 {
		t.Error("charts:", saved(t, dir))
	}
	for _, part := range []string{"  7002.21 kHz  teleprinter, 45.45 Bd", text, "Z  GALE WARNING OSTREL SEA\n", "kHz  fax, ", saved(t, dir)[0] + "\n", ": 1 fax, 1 teleprinter"} {
		if !strings.Contains(out, part) {
			t.Errorf("there is no %q in %q", part, out)
		}
	}
	files, _ := filepath.Glob(filepath.Join(dir, "*-teleprinter-7002.21kHz.txt"))
	if len(files) != 1 {
		t.Fatal(files)
	}
	b, err := os.ReadFile(files[0])
	must(t, err)
	if heading, copied, _ := strings.Cut(string(b), "\n\n"); !strings.Contains(heading, "teleprinter") || copied != bulletin+"\n" {
		t.Errorf("%q", b)
	}
	// Again: no file is overwritten.
	status, out, errs = try([]byte(wav), "copy", "--json", "--start=2026-03-04T12:00:00Z", "-o", dir, "-")
	if status != 0 || errs != "" {
		t.Error(status, errs)
	}
	var lines []string
	ended := 0
	for line := range strings.Lines(out) {
		var e struct {
			copyLine
			Characters int
			File       string
		}
		must(t, json.Unmarshal([]byte(line), &e))
		switch e.Event {
		case "text":
			lines = append(lines, e.Text)
		case "ended":
			ended++
			if e.Characters == 0 || !strings.Contains(e.File, "20260304T12000") {
				t.Errorf("%+v", e)
			}
		}
	}
	if strings.Join(lines, "\n") != bulletin || ended != 1 {
		t.Errorf("%q", out)
	}
}

func TestCopyErrors(t *testing.T) {
	for _, c := range []struct {
		status int
		args   []string
	}{
		{statusUsage, []string{"copy"}},
		{statusUsage, []string{"copy", "--mark-doubt=2", "x.wav"}},
		{statusUsage, []string{"copy", "--sideband=both", "x.wav"}},
		{statusUsage, []string{"copy", "--start=2026-03-04", "x.wav", "y.wav"}},
		{statusFailed, []string{"copy", "--out", put(t, "file", nil), "x.wav"}},
		{statusFailed, []string{"copy", "--out", t.TempDir(), "no.wav"}},
		{statusNoChart, []string{"copy", "--out", t.TempDir(), put(t, "silence.wav", append(wavHeader(8000, 1, 160000), make([]byte, 160000)...))}},
	} {
		status, _, errs := try(nil, c.args...)
		if status != c.status {
			t.Errorf("%v: status %d, %q", c.args, status, errs)
		}
		oneError(t, errs)
	}
}

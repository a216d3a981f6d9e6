package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
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
	for _, part := range []string{"Z   7002.21 kHz  rtty     " + text + "  begins: 45.45 Bd, ", text + "  GALE WARNING OSTREL SEA\n", "kHz  fax ", chart + "  " + saved(t, dir)[0] + "\n",
		": 1 fax, 1 rtty; 1 chart and "} {
		if !strings.Contains(out, part) {
			t.Errorf("there is no %q in %q", part, out)
		}
	}
	files, _ := filepath.Glob(filepath.Join(dir, "*_7002.21kHz_rtty_text.txt"))
	if len(files) != 1 {
		t.Fatal(files)
	}
	b, err := os.ReadFile(files[0])
	must(t, err)
	// A heading, the lines with their times, and what is to be said at the end.
	parts := strings.Split(string(b), "\n\n")
	if len(parts) != 3 || !strings.Contains(parts[0], "rtty, 45.45 Bd") || withoutStamps(parts[1]) != bulletin || !strings.Contains(parts[2], "Z  ended; SNR ") {
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
			Event, Text, File string
			Characters        int
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

// withoutStamps takes the times off the beginnings of lines.
func withoutStamps(text string) string {
	var lines []string
	for line := range strings.SplitSeq(text, "\n") {
		_, line, _ = strings.Cut(line, "Z  ")
		lines = append(lines, line)
	}
	return strings.Join(lines, "\n")
}

// Who copies the same recording again gets the same files, not others beside them.
func TestCopyAgain(t *testing.T) {
	status, wav, errs := try(nil, "synth", "rtty", bulletin, "--rate=8000", "--snr=10", "--lead=4", "--trail=4", "-o", "-")
	if status != 0 || errs != "" {
		t.Fatal(status, errs)
	}
	dir := t.TempDir()
	args := []string{"copy", "-o", dir, put(t, "text.wav", []byte(wav)), put(t, "chart.wav", recording)}
	var first []string
	for range 2 {
		if status, _, errs := try(nil, args...); status != 0 || errs != "" {
			t.Fatal(status, errs)
		}
		entries, err := os.ReadDir(dir)
		must(t, err)
		var files []string
		for _, e := range entries {
			b, err := os.ReadFile(filepath.Join(dir, e.Name()))
			must(t, err)
			files = append(files, e.Name()+string(b))
		}
		if first == nil {
			first = files
		} else if !slices.Equal(files, first) {
			t.Errorf("%d files, then %d", len(first), len(files))
		}
	}
}

package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const bulletin = "ZCZC 027\nGALE WARNING OSTREL SEA\nWIND SW 8 BACKING S 9, VISIBILITY 2000 M\nNNNN"

// What synth sends rtty prints: as text, in the log, as JSON.
func TestRTTY(t *testing.T) {
	signalsAlone(t)
	status, wav, errs := try(nil, "synth", "rtty", bulletin, "--rate=8000", "--snr=0", "--trail=3", "-o", "-")
	if status != 0 || errs != "" {
		t.Fatal(status, errs)
	}
	log := filepath.Join(t.TempDir(), "log.txt")
	status, out, errs := try([]byte(wav), "rtty", "--start=2026-03-04T12:00:00Z", "--log", log, "-")
	if status != 0 || errs != "" || out != bulletin+"\n" {
		t.Errorf("%d %q %q", status, out, errs)
	}
	b, err := os.ReadFile(log)
	must(t, err)
	lines := strings.Split(strings.TrimSpace(string(b)), "\n")
	if len(lines) != 4 || lines[1][20:] != "  GALE WARNING OSTREL SEA" || !strings.HasPrefix(lines[0], "2026-03-04T12:00:0") {
		t.Errorf("log %q", b)
	}
	status, out, errs = try([]byte(wav), "rtty", "--json", "-")
	if status != 0 || errs != "" {
		t.Error(status, errs)
	}
	text, found := "", false
	for line := range strings.Lines(out) {
		var e struct {
			Event, Text, Mark string
			CentreHz          float64 `json:"centre_hz"`
			Baud              float64
		}
		must(t, json.Unmarshal([]byte(line), &e))
		text += e.Text
		found = found || e.Event == "signal" && e.Mark == "lower" && e.CentreHz > 2205 && e.CentreHz < 2215 && e.Baud > 45 && e.Baud < 46
	}
	if text != bulletin || !found {
		t.Errorf("%q, signal %v", text, found)
	}
	if status, out, _ := try([]byte(wav), "rtty", "--baud=45.45", "--shift=170", "--centre=2210", "--mark=lower", "--alphabet=us", "--unshift", "--mark-doubt=1", "--table", "-"); status != 0 || !strings.Contains(out, "⌋") || !strings.Contains(out, "* ") {
		t.Errorf("%d %q", status, out)
	}
}

func TestRTTYErrors(t *testing.T) {
	for _, c := range []struct {
		status int
		args   []string
	}{
		{statusUsage, []string{"rtty"}},
		{statusUsage, []string{"rtty", "--centre=100", "x.wav"}},
		{statusUsage, []string{"rtty", "--shift=5000", "x.wav"}},
		{statusUsage, []string{"rtty", "--baud=NaN", "x.wav"}},
		{statusUsage, []string{"rtty", "--mark=left", "x.wav"}},
		{statusUsage, []string{"rtty", "--alphabet=morse", "x.wav"}},
		{statusUsage, []string{"rtty", "--mark-doubt=2", "x.wav"}},
		{statusUsage, []string{"grade", "rtty", "--case=none"}},
		{statusFailed, []string{"rtty", "/nowhere/x.wav"}},
		{statusFailed, []string{"rtty", "--log=/nowhere/x.txt", "x.wav"}},
	} {
		status, _, errs := try(nil, c.args...)
		if status != c.status {
			t.Errorf("%v: status %d: %s", c.args, status, errs)
		}
		oneError(t, errs)
	}
	// Of silence there is no text.
	silence := append(wavHeader(8000, 1, 160000), make([]byte, 160000)...)
	if status, out, errs := try(silence, "rtty", "-"); status != statusNoChart || out != "" {
		t.Errorf("%d %q %q", status, out, errs)
	}
}

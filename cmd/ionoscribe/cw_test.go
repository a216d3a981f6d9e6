package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"ionoscribe/internal/band"
)

const callText = "DABC DE DXYZ QTC 5 <KN>"

// What synth sends cw prints: as text, in the log, as JSON.
func TestCW(t *testing.T) {
	status, wav, errs := try(nil, "synth", "cw", callText, "--rate=8000", "--snr=6", "-o", "-")
	if status != 0 || errs != "" {
		t.Fatal(status, errs)
	}
	log := filepath.Join(t.TempDir(), "log.txt")
	want := "DABC DE DXYZ QTC 5 (\n" // <KN> is the left bracket
	for range 2 {
		status, out, errs := try([]byte(wav), "cw", "--start=2026-03-04T12:00:00Z", "--log", log, "-")
		if status != 0 || errs != "" || out != want {
			t.Errorf("%d %q %q", status, out, errs)
		}
	}
	b, err := os.ReadFile(log)
	must(t, err)
	if want := strings.Repeat("2026-03-04T12:00:01Z  "+want, 2); string(b) != want {
		t.Errorf("log %q, want %q", b, want)
	}
	status, out, errs := try([]byte(wav), "cw", "--json", "-")
	if status != 0 || errs != "" {
		t.Error(status, errs)
	}
	text := ""
	for line := range strings.Lines(out) {
		var e struct {
			Text    string
			PitchHz float64 `json:"pitch_hz"`
			WPM     float64
		}
		must(t, json.Unmarshal([]byte(line), &e))
		text += e.Text
		if e.PitchHz < 695 || e.PitchHz > 705 || e.WPM < 18 || e.WPM > 22 {
			t.Error(line)
		}
	}
	if text+"\n" != want {
		t.Errorf("%q", text)
	}
	_, weak, _ := try(nil, "synth", "cw", callText, "--rate=8000", "--snr=-9", "-o", "-")
	if status, out, _ := try([]byte(weak), "cw", "--mark-doubt=1", "-"); status != 0 || !strings.Contains(out, "⌋") {
		t.Errorf("%d %q", status, out)
	}
}

func TestCWAll(t *testing.T) {
	status, wav, errs := try(nil, "synth", "cw", callText, "--rate=8000", "--snr=9", "--other", "cw,-3,1100", "-o", "-")
	if status != 0 || errs != "" {
		t.Fatal(status, errs)
	}
	status, out, errs := try([]byte(wav), "cw", "--all", "--table", "-")
	if status != 0 || errs != "" {
		t.Error(status, errs)
	}
	for _, want := range []string{`(?m)^ +(699|700)\.\d Hz  DABC DE DXYZ QTC 5 \($`, `(?m)^ *1(099|100)\.\d Hz  \S`, `(?m)^\* .*signal 2`} {
		if !regexp.MustCompile(want).MatchString(out) {
			t.Errorf("no %s in %q", want, out)
		}
	}
}

// Of a band of complex samples all is copied; with a dial frequency, what is above it.
func TestCWWide(t *testing.T) {
	signalsAlone(t)
	list, wav := filepath.Join(t.TempDir(), "list.json"), filepath.Join(t.TempDir(), "band.wav")
	if status, _, errs := try(nil, "synth", "band", "--rate=12000", "--minutes=1", "--cw=4", "--rtty=0", "--fax=0", "--list", list, "-o", wav); status != 0 {
		t.Fatal(status, errs)
	}
	var plan band.Plan
	b, err := os.ReadFile(list)
	must(t, err)
	must(t, json.Unmarshal(b, &plan))
	status, out, errs := try(nil, "cw", "--all", "--iq=normal", wav)
	if status != 0 || errs != "" {
		t.Error(status, errs)
	}
	for _, s := range plan.Transmissions {
		got := ""
		for line := range strings.Lines(out) {
			var hz float64
			if _, err := fmt.Sscanf(line, "%f Hz", &hz); err == nil && math.Abs(hz-s.Hz) < 5 {
				got += line[strings.Index(line, "Hz")+4:]
			}
		}
		if got = strings.Join(strings.Fields(got), " "); got != s.Text {
			t.Errorf("%g Hz: %q, want %q", s.Hz, got, s.Text)
		}
	}
	s := plan.Transmissions[2]
	if _, out, _ := try(nil, "cw", "--all", "--iq=normal", fmt.Sprintf("--tune=%+g", s.Hz-1000), wav); !strings.Contains(out, "1000.") && !strings.Contains(out, " 999.") {
		t.Errorf("above the dial frequency: %q", out)
	}
}

func TestCWErrors(t *testing.T) {
	for _, c := range []struct {
		status int
		args   []string
	}{
		{statusUsage, []string{"cw"}},
		{statusUsage, []string{"cw", "--pitch=100", "x.wav"}},
		{statusUsage, []string{"cw", "--wpm=100", "x.wav"}},
		{statusUsage, []string{"cw", "--mark-doubt=2", "x.wav"}},
		{statusUsage, []string{"cw", "--start=2026-03-04", "x.wav", "y.wav"}},
		{statusUsage, []string{"synth", "cw"}},
		{statusUsage, []string{"synth", "cw", "#"}},
		{statusUsage, []string{"synth", "cw", "E", "--sender=nobody"}},
		{statusUsage, []string{"grade", "cw", "--wpm=100"}},
		{statusUsage, []string{"grade", "cw", "--signals=99"}},
		{statusFailed, []string{"cw", "/nowhere/x.wav"}},
		{statusFailed, []string{"cw", "--log=/nowhere/x.txt", "x.wav"}},
	} {
		status, _, errs := try(nil, c.args...)
		if status != c.status {
			t.Errorf("%v: status %d: %s", c.args, status, errs)
		}
		oneError(t, errs)
	}
}

// Of a fax there is no text.
func TestCWNothing(t *testing.T) {
	status, out, errs := try(recording, "cw", "-")
	if status != statusNoChart || out != "" {
		t.Errorf("%d %q %q", status, out, errs)
	}
	oneError(t, errs)
}

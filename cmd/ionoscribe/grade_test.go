package main

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"ionoscribe/internal/grade"
)

func TestGradeFax(t *testing.T) {
	signalsAlone(t)
	status, out, errs := try(nil, "grade", "fax", "--snr=20", "--lines=100", "--trials=1")
	if lines := strings.Split(strings.TrimSpace(out), "\n"); status != 0 || errs != "" || len(lines) != 4 ||
		!strings.HasPrefix(lines[0], "picture ") || !strings.HasPrefix(lines[2], "dense ") || !strings.HasPrefix(lines[3], "lettering ") {
		t.Errorf("status %d, %q\n%s", status, errs, out)
	}
	plot := filepath.Join(t.TempDir(), "fidelity.svg")
	status, out, errs = try(nil, "grade", "fax", "--snr=20", "--lines=100", "--trials=1", "--json", "--plot", plot)
	if status != 0 || errs != "" {
		t.Errorf("status %d, %q", status, errs)
	}
	if b, err := os.ReadFile(plot); err != nil || !strings.Contains(string(b), "Radiofax") {
		t.Errorf("%v: %s", err, b)
	}
	for line := range strings.Lines(out) {
		var g grade.FaxGrade
		if err := json.Unmarshal([]byte(line), &g); err != nil || g.SNR != 20 || g.Missed || g.Fidelity < g.Textbook {
			t.Errorf("%v: %s", err, line)
		}
	}
}

func TestGradeFaxWithoutReader(t *testing.T) {
	t.Setenv("PATH", "")
	ctx, cancel := context.WithCancel(t.Context())
	cancel() // no need to see the trials
	var out, errs strings.Builder
	status := run(ctx, []string{"grade", "fax", "--ocr"}, nil, &out, &errs)
	if status != statusInterrupted || !strings.Contains(errs.String(), "tesseract is not installed") || strings.Contains(out.String(), "misread") {
		t.Errorf("status %d, %q\n%s", status, errs.String(), out.String())
	}
}

func TestGradeFaxUsage(t *testing.T) {
	for _, args := range [][]string{
		{"--snr=high"}, {"--snr="}, {"--snr=1:2"}, {"--snr=0:10:0"}, {"--snr=0:50:0.001"}, {"--snr=NaN"}, {"--snr=0:1e9:1"},
		{"--lines=99"}, {"--lines=1000000000"}, {"--trials=0"}, {"--trials=1000000000"}, {"--seed=-1"}, {"extra"},
		{"--channel=stormy"}, {"--plot=a.gif"}, {"--plot=/absent/a.png"},
	} {
		status, out, errs := try(nil, append([]string{"grade", "fax"}, args...)...)
		if status != statusUsage || out != "" {
			t.Errorf("%v: status %d, %q", args, status, out)
		}
		oneError(t, errs)
	}
}

func TestUnknownChannel(t *testing.T) {
	_, _, errs := try(nil, "grade", "fax", "--channel=stormy")
	for _, name := range []string{"stormy", "none", "mid-moderate"} {
		if !strings.Contains(errs, name) {
			t.Errorf("%q is not in %q", name, errs)
		}
	}
}

func TestParseSNRs(t *testing.T) {
	for s, want := range map[string][]float64{
		"10,6,3": {10, 6, 3}, "-3": {-3}, "0:3:1": {0, 1, 2, 3}, "3:0:1": {3, 2, 1, 0}, "3:0:-1.5": {3, 1.5, 0}, "1:1:1": {1}, "0:1:0.4": {0, 0.4, 0.8},
	} {
		if got, err := parseSNRs(s); err != nil || !slices.Equal(got, want) {
			t.Errorf("%s: %v, %v; want %v", s, got, err, want)
		}
	}
}

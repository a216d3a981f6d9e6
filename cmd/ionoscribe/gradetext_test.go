package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestGradeText(t *testing.T) {
	plot := filepath.Join(t.TempDir(), "errors.png")
	withToy(t)
	status, out := gradeToy(t.Context(), "--characters=600", "--length=100", "--noise=1", "--plot", plot)
	if status != 0 {
		t.Fatal(status)
	}
	lines := strings.Split(strings.TrimSpace(out), "\n")
	if f := strings.Fields(lines[2]); len(lines) != 9 || !slices.Equal(f[:3], []string{"60", "600", "10.0"}) || f[len(f)-1] != "10.0" {
		t.Error(out)
	}
	if !strings.HasPrefix(lines[5], "0.9 to 0.95         600  0.900   0.900") || !strings.Contains(lines[8], "characters a minute of pure noise") {
		t.Error(out)
	}
	if b, err := os.ReadFile(plot); err != nil || !bytes.HasPrefix(b, []byte("\x89PNG")) {
		t.Error(err)
	}

	status, out = gradeToy(t.Context(), "--characters=150", "--length=100", "--noise=2", "--json", "--channel=mid-quiet", "--snr=60,50")
	if status != 0 || strings.Count(out, "\n") != 5 {
		t.Fatal(status, out)
	}
	var trials []map[string]any
	for line := range strings.Lines(out) {
		var v map[string]any
		must(t, json.Unmarshal([]byte(line), &v))
		trials = append(trials, v)
	}
	if g := trials[1]; g["mode"] != "toy" || g["channel"] != "mid-quiet" || g["snr_db"] != 60.0 || g["trial"] != 2.0 || g["sent"] != 100.0 || g["calibration"] == nil {
		t.Error(out)
	}
	if trials[4]["noise_trial"] != 1.0 {
		t.Error(out)
	}
}

func TestGradeTextUsage(t *testing.T) {
	withToy(t)
	for _, arg := range []string{"--length=0", "--length=6000", "--characters=0", "--characters=100000000", "--noise=-1", "--noise=NaN",
		"--channel=stormy", "--snr=x", "--plot=x"} {
		if status, out := gradeToy(t.Context(), arg); status != statusUsage || out != "" {
			t.Errorf("%s: %d %s", arg, status, out)
		}
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if status, _ := gradeToy(ctx); status != statusInterrupted {
		t.Error(status)
	}
}

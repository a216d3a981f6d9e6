package main

import (
	"path/filepath"
	"strings"
	"testing"
)

// Lossy recordings of other encoders (testdata/lossy.sh), down to 16 kbit/s: every character is right, 6 dB above the
// noise. What they cost in weaker signals stands in STUDIES.md.
func TestLossyRecordings(t *testing.T) {
	signalsAlone(t)
	files, err := filepath.Glob("testdata/rtty-*k.*")
	must(t, err)
	if len(files) != 5 {
		t.Fatal(files)
	}
	for _, path := range files {
		if status, out, errs := try(nil, "rtty", path); status != 0 || strings.TrimSpace(out) != "OSTREL SEA GALE 8" || errs != "" {
			t.Errorf("%s: %d %q %q", path, status, out, errs)
		}
	}
}

package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ionoscribe/internal/grade"
)

// A report has what its runs print; one that goes on takes what was kept, unless another program or command made it.
func TestWriteReport(t *testing.T) {
	run := func(snr string) grade.ReportPart {
		return grade.ReportPart{Text: "Above.\n", Args: []string{"grade", "dsc", "--characters", "1", "--length", "1", "--snr", snr, "--noise", "0"}, Plot: "figures/" + snr + ".svg"}
	}
	parts := []grade.ReportPart{run("10"), run("12"), {Text: "Below.\n"}}
	dir := t.TempDir()
	write := func() string {
		t.Helper()
		if err := writeReport(t.Context(), parts, dir, os.Stdout); err != nil {
			t.Fatal(err)
		}
		b, err := os.ReadFile(filepath.Join(dir, "FIGURES.md"))
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	whole := write()
	if strings.Count(whole, "first right") != 2 || !strings.HasSuffix(whole, "Below.\n") || !exists(filepath.Join(dir, "figures/12.svg")) {
		t.Errorf("%s", whole)
	}
	first := filepath.Join(dir, keptFolder, parts[0].Kept())
	b, err := os.ReadFile(first)
	if err != nil {
		t.Fatal(err)
	}
	change := func(text string) {
		t.Helper()
		if err := os.WriteFile(first, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	change(string(b) + "kept\n")
	if got := write(); !strings.Contains(got, "kept\n") {
		t.Errorf("run again:\n%s", got)
	}
	change("0123456789abcdef " + parts[0].Command() + "\nof another program\n")
	if got := write(); got != whole {
		t.Errorf("%s", got)
	}
	change("")
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := writeReport(ctx, parts, dir, os.Stdout); !errors.Is(err, errInterrupted) {
		t.Errorf("%v", err)
	}
}

package grade

import (
	"slices"
	"strings"
	"testing"
)

// Each run of the report has a seed, a file of its own that keeps it, and a picture of its own if it has one.
func TestReport(t *testing.T) {
	parts, err := Report()
	if err != nil {
		t.Fatal(err)
	}
	var kept, plots []string
	for _, p := range parts[:len(parts)-1] {
		if !slices.Contains(p.Args, "--seed") || p.Args[0] != "grade" {
			t.Errorf("%s", p.Command())
		}
		kept = append(kept, p.Kept())
		if p.Plot != "" {
			plots = append(plots, p.Plot)
		}
	}
	for _, names := range [][]string{kept, plots} {
		slices.Sort(names)
		if n := len(names); n == 0 || len(slices.Compact(names)) != n {
			t.Errorf("%d names, some of them twice: %q", n, names)
		}
	}
	var text strings.Builder
	for _, p := range parts {
		text.WriteString(p.Text)
	}
	if text.String() != report {
		t.Error("the parts are not the whole")
	}
}

func TestReportPicturesHaveRuns(t *testing.T) {
	for _, text := range []string{"![a](a.svg)\n", "![a](a.svg)\n![b](b.svg)\n" + prompt + "grade rtty\n"} {
		if _, err := parseReport(text); err == nil {
			t.Errorf("%q is taken", text)
		}
	}
}

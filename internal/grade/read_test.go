package grade

import (
	"context"
	"errors"
	"strings"
	"testing"

	"ionoscribe/internal/scenario"
)

// The classic examples of Levenshtein distance: kitten/sitting is 3, Saturday/Sunday is 3 (Wagner and Fischer's
// recurrence by hand gives the same).
func TestEditDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"kitten", "sitting", 3}, {"Saturday", "Sunday", 3}, {"", "abc", 3}, {"abc", "", 3}, {"gale", "gale", 0}, {"ångström", "angstrom", 2}} {
		if got := editDistance(c.a, c.b); got != c.want {
			t.Errorf("%q to %q: %d, want %d", c.a, c.b, got, c.want)
		}
	}
}

func TestMisread(t *testing.T) {
	if FindReader() != nil {
		t.Skip("tesseract is not installed")
	}
	page, lines := scenario.Lettering(1810, 240, 1)
	if share, err := Misread(t.Context(), page, lines); err != nil || share > 0.02 {
		t.Errorf("a clean page: %v misread, %v", share, err)
	}
	if share, err := Misread(t.Context(), blank(400, 100), lines); err != nil || share < 0.9 {
		t.Errorf("an empty page: %v misread, %v", share, err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Misread(ctx, page, lines); err == nil {
		t.Error("no error when cancelled")
	}
}

func TestNoReader(t *testing.T) {
	t.Setenv("PATH", "")
	_, err := Misread(t.Context(), blank(10, 10), nil)
	if !errors.Is(err, ErrNoReader) || !strings.Contains(err.Error(), "not installed") {
		t.Error(err)
	}
}

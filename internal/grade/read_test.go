package grade

import (
	"context"
	"errors"
	"strings"
	"testing"

	"ionoscribe/internal/scenario"
)

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

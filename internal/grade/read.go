package grade

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"os"
	"os/exec"
	"strings"

	"ionoscribe/internal/nearest"

	"golang.org/x/image/draw"
)

// reader is the program that reads pages: a general-purpose one that knows nothing of charts.
const reader = "tesseract"

// ErrNoReader says that pages cannot be read here.
var ErrNoReader = errors.New(reader + " is not installed")

// FindReader tells whether pages can be read; if not, its error is ErrNoReader.
func FindReader() error {
	if _, err := exec.LookPath(reader); err != nil {
		return ErrNoReader
	}
	return nil
}

// Misread has a page of lettering read and returns the share of its characters that were misread: the edit
// distance between what was read and the lines that were sent, over the length of these, but at most 1 (noise may
// read as more than the page holds). White space of any
// length counts as one blank. The page is doubled in size for the reader, which is made for 300 dots an inch.
func Misread(ctx context.Context, page *image.Gray, lines []string) (float64, error) {
	if err := FindReader(); err != nil {
		return 0, err
	}
	double := image.NewGray(image.Rect(0, 0, 2*page.Rect.Dx(), 2*page.Rect.Dy()))
	draw.CatmullRom.Scale(double, double.Rect, page, page.Rect, draw.Src, nil)
	var in, out, errs bytes.Buffer
	if err := png.Encode(&in, double); err != nil {
		return 0, err
	}
	cmd := exec.CommandContext(ctx, reader, "stdin", "stdout", "-l", "eng", "--psm", "6") // 6: one block of text
	cmd.Env = append(os.Environ(), "OMP_THREAD_LIMIT=1")                                  // the trials fill the cores
	cmd.Stdin, cmd.Stdout, cmd.Stderr = &in, &out, &errs
	if err := cmd.Run(); err != nil {
		return 0, fmt.Errorf("%s: %w: %s", reader, err, strings.TrimSpace(errs.String()))
	}
	sent := strings.Join(strings.Fields(strings.Join(lines, " ")), " ")
	got := strings.Join(strings.Fields(out.String()), " ")
	return min(1, float64(nearest.Distance([]rune(sent), []rune(got)))/float64(max(1, len([]rune(sent))))), nil
}

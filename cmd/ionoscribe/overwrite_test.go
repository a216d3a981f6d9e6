package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ionoscribe/internal/chartfile"
)

// chartIn saves a chart into a new folder.
func chartIn(t *testing.T) (dir, picture, video string) {
	t.Helper()
	dir = t.TempDir()
	if status, _, errs := try(nil, "fax", "-o", dir, put(t, "chart.wav", recording)); status != 0 {
		t.Fatal(errs)
	}
	picture = saved(t, dir)[0]
	return dir, picture, chartfile.VideoPath(picture)
}

// No command writes over what it reads.
func TestNothingIsWrittenOverItself(t *testing.T) {
	dir, picture, video := chartIn(t)
	wav := put(t, "chart.wav", recording)
	text := put(t, "text.wav", []byte("GALE WARNING"))
	link := filepath.Join(dir, "link")
	must(t, os.Symlink(video, link))
	for _, c := range []struct {
		file string
		args []string
	}{
		{video, []string{"redraw", "-o", video, picture}},
		{video, []string{"redraw", "-o", video, video}},
		{video, []string{"redraw", "-o", link, picture}},
		{picture, []string{"synth", "fax", "-o", picture, picture}},
		{wav, []string{"synth", "--from", wav, "-o", wav}},
		{text, []string{"synth", "rtty", text}},
		{text, []string{"synth", "cw", "-o", text, text}},
		{wav, []string{"rtty", "--log", wav, wav}},
		{wav, []string{"cw", "--log", wav, wav}},
		{wav, []string{"survey", "--picture", wav, wav}},
		{"", []string{"synth", "band", "--minutes=2", "--fax=0", "--rate=24000", "--cw=1", "--rtty=0", "--list", filepath.Join(dir, "list"), "-o", filepath.Join(dir, "list")}},
	} {
		before, _ := os.ReadFile(c.file)
		status, out, errs := try(nil, c.args...)
		if status != statusUsage || out != "" || !strings.Contains(errs, "would overwrite what is read") {
			t.Errorf("%v: %d %q %q", c.args, status, out, errs)
		}
		if after, _ := os.ReadFile(c.file); !bytes.Equal(before, after) {
			t.Errorf("%v has changed %s", c.args, c.file)
		}
	}
}

// Of half a video half a picture is drawn, and that is said.
func TestRedrawHalf(t *testing.T) {
	signalsAlone(t)
	dir, picture, video := chartIn(t)
	b, err := os.ReadFile(video)
	must(t, err)
	must(t, os.WriteFile(video, b[:len(b)/2], 0o666))
	status, out, errs := try(nil, "redraw", picture)
	if status != statusFailed || !strings.HasSuffix(out, "-redrawn.png\n") || !strings.Contains(errs, video+": ends early: ") || !strings.Contains(errs, " lines are there") {
		t.Errorf("%d %q %q", status, out, errs)
	}
	oneError(t, errs)
	if len(saved(t, dir)) != 2 {
		t.Error(saved(t, dir))
	}
}

// An interruption ends a redrawing, and leaves nothing.
func TestRedrawInterrupted(t *testing.T) {
	dir, picture, _ := chartIn(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var out, errs bytes.Buffer
	if status := run(ctx, []string{"redraw", picture}, nil, &out, &errs); status != statusInterrupted || out.Len() > 0 {
		t.Errorf("%d %q %q", status, out.String(), errs.String())
	}
	onlyChart(t, dir)
}

// A place where nothing can be written is told of before any work.
func TestPlacesAreLookedAtFirst(t *testing.T) {
	dir := t.TempDir()
	for _, args := range [][]string{
		{"survey", "--picture", dir, "-"},
		{"survey", "--picture", filepath.Join(dir, "no", "x.png"), "-"},
		{"survey", "--picture", filepath.Join(put(t, "file", nil), "x.png"), "-"},
		{"grade", "fax", "--plot", filepath.Join(dir, "no", "x.png")},
	} {
		ctx, cancel := context.WithCancel(context.Background())
		defer cancel()
		var out, errs bytes.Buffer
		// The source is one that never begins.
		if status := run(ctx, args, liveReader{bytes.NewReader(nil), func() { t.Error("the source is read") }, make(chan struct{})}, &out, &errs); status != statusUsage {
			t.Errorf("%v: %d %q", args, status, errs.String())
		}
		oneError(t, errs.String())
	}
	if files, _ := os.ReadDir(dir); len(files) > 0 {
		t.Errorf("left behind: %v", files)
	}
}

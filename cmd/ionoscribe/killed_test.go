package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/filing"
)

// onlyChart fails unless a folder holds one chart and its video and nothing else; it returns what is told of it.
func onlyChart(t *testing.T, dir string) chartfile.Info {
	t.Helper()
	entries, err := os.ReadDir(dir)
	must(t, err)
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	if len(names) != 2 || filepath.Ext(names[0]) != chartfile.PictureSuffix || names[1] != chartfile.VideoPath(names[0]) {
		t.Fatalf("the folder holds %q", names)
	}
	c, err := chartfile.OpenVideo(filepath.Join(dir, names[0]))
	must(t, err)
	info, err := chartfile.ReadInfo(filepath.Join(dir, names[0]))
	must(t, err)
	if c.Lines != info.Lines || c.Drawing.Rows != info.Lines {
		t.Errorf("the picture has %d lines, its video %d of %d", info.Lines, c.Drawing.Rows, c.Lines)
	}
	return info
}

// What was coming in when the program was killed is a chart with its video after the next start, once; what comes in
// when that runs is not touched.
func TestKilledWhileReceiving(t *testing.T) {
	silence := append(wavHeader(8000, 1, 80000), make([]byte, 80000)...)
	for _, command := range []string{"fax", "copy"} {
		dir := t.TempDir()
		s := start(t, command, "-o", dir, "-")
		const share = 0.9
		_, err := s.in.Write(recording[:int(share*float64(len(recording)))])
		must(t, err)
		arriving := func() int64 {
			files, _ := filepath.Glob(filepath.Join(dir, "arriving-*.video"))
			if len(files) == 0 {
				return 0
			}
			fi, err := os.Stat(files[0])
			must(t, err)
			return fi.Size()
		}
		wait(t, "the video", func() bool { return arriving() > 100_000 }) // 14 s of it
		// Another that starts meanwhile leaves it alone.
		if status, out, errs := try(silence, command, "-o", dir, "-"); status != statusNoChart || strings.Contains(out, ".png") || arriving() == 0 {
			t.Errorf("%s: %d %q %q", command, status, out, errs)
		}
		must(t, s.Process.Kill())
		s.Wait()
		before := arriving()
		for _, charts := range []int{1, 0} {
			status, out, errs := try(silence, command, "-o", dir, "-")
			if status != statusNoChart || strings.Count(out, ".png\n") != charts {
				t.Errorf("%s: %d %q %q", command, status, out, errs)
			}
			info := onlyChart(t, dir)
			// Each line of half a second is 1800 samples of two bytes, and four bytes a block of 256.
			if lines := int(before / 3628); info.Ended != chartfile.EndedBroken || info.Lines < lines-110 || info.Lines < 8 {
				t.Errorf("%s: %d lines of at least %d, %q", command, info.Lines, lines-110, info.Ended)
			}
		}
	}
}

// A recording is read again, so that nothing of the broken run is kept.
func TestKilledWhileReading(t *testing.T) {
	dir := t.TempDir()
	path := put(t, "chart.wav", recording)
	s := start(t, "fax", "-o", dir, "-")
	_, err := s.in.Write(recording[:len(recording)*9/10])
	must(t, err)
	wait(t, "the video", func() bool { files, _ := filepath.Glob(filepath.Join(dir, "arriving-*.video")); return len(files) > 0 })
	must(t, s.Process.Kill())
	s.Wait()
	// As if it had been of the recording.
	files, _ := filepath.Glob(filepath.Join(dir, "arriving-*.video"))
	b, err := os.ReadFile(files[0])
	must(t, err)
	must(t, os.WriteFile(files[0], bytes.Replace(b, []byte(`"source":"-"`), []byte(`"source":"-","recording":"`+path+`"`), 1), 0o666))
	if status, out, errs := try(nil, "fax", "-o", dir, path); status != 0 || strings.Count(out, "\n") != 1 || errs != "" {
		t.Errorf("%d %q %q", status, out, errs)
	}
	if info := onlyChart(t, dir); info.Lines < recordingLines-1 || info.Ended == chartfile.EndedBroken {
		t.Errorf("%+v", info)
	}
}

// The picture of a chart that comes in is there from the first drawing on, until the chart takes its place.
func TestPreviewStays(t *testing.T) {
	usual := filing.DrawEvery
	defer func() { filing.DrawEvery = usual }()
	filing.DrawEvery = 0
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(context.Background())
	seen, gone := 0, 0
	look := func() {
		files, _ := filepath.Glob(filepath.Join(dir, "arriving-*.png"))
		switch {
		case len(files) > 0:
			seen++
			_, err := chartfile.ReadInfo(files[0])
			must(t, err)
		case seen > 0:
			gone++
		default: // it is drawn beside the decoding, which waits here
			if videos, _ := filepath.Glob(filepath.Join(dir, "arriving-*.video")); len(videos) > 0 {
				time.Sleep(150 * time.Millisecond)
			}
		}
	}
	in := liveReader{&watched{bytes.NewReader(recording[:len(recording)*9/10]), look}, cancel, make(chan struct{})}
	defer close(in.close)
	var out, errs bytes.Buffer
	if status := run(ctx, []string{"copy", "-o", dir, "-"}, in, &out, &errs); status != statusInterrupted {
		t.Errorf("%d %q", status, errs.String())
	}
	if seen == 0 || gone > 0 {
		t.Errorf("the preview was seen %d times and missed %d times", seen, gone)
	}
	onlyChart(t, dir)
}

// watched calls a function with each read.
type watched struct {
	*bytes.Reader
	look func()
}

func (w *watched) Read(b []byte) (int, error) {
	w.look()
	return w.Reader.Read(b[:min(len(b), 8192)])
}

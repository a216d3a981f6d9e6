package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"ionoscribe/audio"
	"ionoscribe/internal/chartfile"
)

func TestFax(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "charts")
	status, out, errs := try(nil, "fax", "--out", dir, "--start", "2026-03-04T12:00:00Z", put(t, "chart.wav", recording))
	// 5 s of start tone and 30 s of phasing come first.
	want := filepath.Join(dir, "20260304T120035Z-120-576.png")
	if status != statusOK || out != want+"\n" || errs != "" {
		t.Fatalf("%d %q %q, want %s", status, out, errs, want)
	}
	info, err := chartfile.ReadInfo(want)
	must(t, err)
	if info.TimeFrom != audio.FromOrder || info.LPM != 120 || info.IOC != 576 || info.Lines < recordingLines-1 || info.Lines > recordingLines+1 {
		t.Errorf("%+v", info)
	}
}

func TestFaxJSON(t *testing.T) {
	signalsAlone(t)
	dir := t.TempDir()
	status, out, errs := try(recording, "fax", "--json", "--no-video", "--out", dir, "-")
	var r report
	if err := json.Unmarshal([]byte(out), &r); err != nil || status != statusOK || errs != "" || strings.Count(out, "\n") != 1 {
		t.Fatalf("%d %q %q %v", status, out, errs, err)
	}
	if r.Source != "-" || r.Video != "" || r.Lines != len(r.Quality) || !(r.MeanQuality > 0.5) || r.TimeFrom != audio.FromFastPipe {
		t.Errorf("%+v", r)
	}
	if _, err := os.Stat(r.Picture); err != nil {
		t.Error(err)
	}
	if files, _ := os.ReadDir(dir); len(files) != 1 {
		t.Errorf("files %v", files)
	}
}

// A bad source does not keep the others from their turn.
func TestFaxGoesOnAfterBadSource(t *testing.T) {
	dir := t.TempDir()
	good := put(t, "good.wav", recording)
	status, out, errs := try(nil, "fax", "--out", dir, put(t, "bad.wav", []byte("no recording")), good, filepath.Join(dir, "absent"), good)
	if status != statusFailed || strings.Count(out, "\n") != 2 || strings.Count(errs, "\n") != 2 || len(saved(t, dir)) != 2 {
		t.Errorf("%d %q %q", status, out, errs)
	}
}

// liveReader yields a recording, says when that is at its end, and then yields nothing until it is closed.
type liveReader struct {
	io.Reader
	atEnd func()
	close chan struct{}
}

func (l liveReader) Read(b []byte) (int, error) {
	if n, err := l.Reader.Read(b); err == nil {
		return n, nil
	}
	l.atEnd()
	<-l.close
	return 0, io.EOF
}

func TestInterruptSavesWhatWasReceived(t *testing.T) {
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(context.Background())
	in := liveReader{bytes.NewReader(recording[:len(recording)*3/4]), cancel, make(chan struct{})}
	defer close(in.close)
	var out, errs bytes.Buffer
	status := run(ctx, []string{"fax", "--out", dir, "-"}, in, &out, &errs)
	if status != statusInterrupted || !strings.Contains(errs.String(), "interrupted") {
		t.Errorf("%d %q", status, errs.String())
	}
	oneError(t, errs.String())
	if charts := saved(t, dir); len(charts) != 1 || out.String() != charts[0]+"\n" {
		t.Errorf("%q, %v", out.String(), charts)
	}
}

func TestSignalsEndTheProgram(t *testing.T) {
	dir := t.TempDir()
	for _, sig := range []os.Signal{os.Interrupt, os.Kill} {
		c := exec.Command(program, "fax", "--out", dir, "-")
		in, err := c.StdinPipe()
		must(t, err)
		var errs bytes.Buffer
		c.Stderr = &errs
		must(t, c.Start())
		// More than a pipe holds, so the program has begun to read when this returns.
		_, err = in.Write(recording[:200_000])
		must(t, err)
		must(t, c.Process.Signal(sig))
		c.Wait()
		if sig == os.Interrupt && (c.ProcessState.ExitCode() != statusInterrupted || strings.Count(errs.String(), "\n") != 1) {
			t.Errorf("SIGINT: %v %q", c.ProcessState, errs.String())
		}
		saved(t, dir)
	}
}

// Standard output whose reader has gone: the chart is saved all the same.
func TestClosedOutput(t *testing.T) {
	dir := t.TempDir()
	picture := put(t, "p.png", pngOf(t, sent))
	for _, test := range []struct {
		args   []string
		charts int
	}{
		{[]string{"fax", "--out", dir, put(t, "chart.wav", recording)}, 1},
		{[]string{"synth", "fax", "-o", "-", picture}, 1},
		{[]string{"synth", "fax", picture}, 1},
	} {
		r, w, err := os.Pipe()
		must(t, err)
		r.Close()
		c := exec.Command(program, test.args...)
		var errs bytes.Buffer
		c.Stdout, c.Stderr = w, &errs
		c.Run()
		w.Close()
		if c.ProcessState.ExitCode() != statusFailed || !strings.Contains(errs.String(), "standard output: broken pipe") {
			t.Errorf("%v: %v %q", test.args, c.ProcessState, errs.String())
		}
		oneError(t, errs.String())
		if n := len(saved(t, dir)); n != test.charts {
			t.Errorf("%v: %d charts", test.args, n)
		}
	}
}

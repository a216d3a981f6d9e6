package main

import (
	"bytes"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// started is the program with what it said so far; it reads what is written to in.
type started struct {
	*exec.Cmd
	in        *os.File
	out, errs bytes.Buffer
}

func start(t *testing.T, args ...string) *started {
	t.Helper()
	s := &started{Cmd: exec.Command(program, args...)}
	r, w, err := os.Pipe()
	must(t, err)
	s.Stdin, s.Stdout, s.Stderr, s.in = r, &s.out, &s.errs, w
	must(t, s.Start())
	r.Close()
	t.Cleanup(func() { w.Close(); s.Process.Kill() })
	return s
}

// A terminal that closes ends the program as an interruption does: all that was received is saved. It sends SIGHUP more
// than once.
func TestHangUpSavesWhatWasReceived(t *testing.T) {
	status, wav, errs := try(nil, "synth", "rtty", "--rate=8000", "--snr=10", bulletin+"\n"+bulletin+"\n"+bulletin, "-o", "-")
	if status != 0 || errs != "" {
		t.Fatal(status, errs)
	}
	// The program takes the signal even if whoever runs the tests, as nohup does, has it ignored.
	heeded := make(chan os.Signal, 1)
	signal.Notify(heeded, syscall.SIGHUP)
	defer signal.Stop(heeded)
	dir := t.TempDir()
	in := func(name string) string { return filepath.Join(dir, name) }
	for _, c := range []struct {
		args  []string
		sound []byte
		want  string // a pattern of the file that must be there
	}{
		{[]string{"fax", "-o", in("charts"), "-"}, recording[:len(recording)*3/4], "charts/*.png"},
		{[]string{"copy", "-o", in("copies"), "-"}, recording[:len(recording)*3/4], "copies/*.png"},
		{[]string{"survey", "--picture", in("survey.png"), "-"}, recording[:len(recording)*3/4], "survey.png"},
		{[]string{"rtty", "--log", in("log"), "-"}, []byte(wav)[:len(wav)*3/4], "log"},
		{[]string{"cw", "--log", in("morse"), "-"}, recording[:len(recording)*3/4], "morse"},
	} {
		s := start(t, c.args...)
		_, err := s.in.Write(c.sound) // returns when the program has read all but what a pipe holds, 4 s
		must(t, err)
		must(t, s.Process.Signal(syscall.SIGHUP))
		must(t, s.Process.Signal(syscall.SIGHUP))
		s.Wait()
		if s.ProcessState.ExitCode() != statusInterrupted {
			t.Errorf("%v: %v %q", c.args, s.ProcessState, s.errs.String())
		}
		oneError(t, s.errs.String())
		files, _ := filepath.Glob(in(c.want))
		if len(files) != 1 {
			t.Errorf("%v left %v", c.args, files)
		} else if b, err := os.ReadFile(files[0]); c.want == "log" && !strings.Contains(string(b), "GALE WARNING") {
			t.Errorf("%v logged %q %v", c.args, b, err)
		}
	}
}

// Who presses Ctrl-C twice, out of impatience, does not lose the chart that is being saved.
func TestSecondInterruptionAsks(t *testing.T) {
	dir := t.TempDir()
	s := start(t, "fax", "-o", dir, "-")
	_, err := s.in.Write(recording[:len(recording)*3/4])
	must(t, err)
	wait(t, "the video", func() bool { files, _ := filepath.Glob(filepath.Join(dir, "arriving-*.video")); return len(files) > 0 })
	must(t, s.Process.Signal(os.Interrupt))
	time.Sleep(5 * time.Millisecond) // two that come at the same time are one
	must(t, s.Process.Signal(os.Interrupt))
	s.Wait()
	files, _ := filepath.Glob(filepath.Join(dir, "*.png"))
	if s.ProcessState.ExitCode() != statusInterrupted || len(files) != 1 {
		t.Errorf("%v %q %v", s.ProcessState, s.errs.String(), files)
	}
}

// Who starts the program with SIGHUP ignored wants it to go on.
func TestHangUpIgnored(t *testing.T) {
	signal.Ignore(syscall.SIGHUP)
	defer signal.Reset(syscall.SIGHUP)
	s := start(t, "fax", "-o", t.TempDir(), "-")
	_, err := s.in.Write(recording[:200_000])
	must(t, err)
	must(t, s.Process.Signal(syscall.SIGHUP))
	_, err = s.in.Write(recording[200_000:])
	must(t, err)
	s.in.Close()
	s.Wait()
	if s.ProcessState.ExitCode() != statusOK || !strings.HasSuffix(s.out.String(), ".png\n") {
		t.Errorf("%v %q %q", s.ProcessState, s.out.String(), s.errs.String())
	}
}

// A log, and the picture of a survey, go on when the reader of standard output has gone.
func TestFilesOutliveTheirReader(t *testing.T) {
	text := strings.Repeat(bulletin+"\n", 3)
	dir := t.TempDir()
	wav, log, picture := filepath.Join(dir, "x.wav"), filepath.Join(dir, "log"), filepath.Join(dir, "x.png")
	if status, _, errs := try(nil, "synth", "rtty", "--rate=8000", "--snr=10", "-o", wav, text); status != 0 {
		t.Fatal(errs)
	}
	for _, args := range [][]string{{"rtty", "--log", log, wav}, {"rtty", "--json", "--log", log, wav}, {"survey", "--picture", picture, wav}} {
		os.Remove(log)
		r, w, err := os.Pipe()
		must(t, err)
		r.Close()
		c := exec.Command(program, args...)
		var errs bytes.Buffer
		c.Stdout, c.Stderr = w, &errs
		c.Run()
		w.Close()
		if c.ProcessState.ExitCode() != statusFailed || !strings.Contains(errs.String(), "standard output: broken pipe") {
			t.Errorf("%v: %v %q", args, c.ProcessState, errs.String())
		}
		oneError(t, errs.String())
		if args[0] == "survey" {
			if _, err := os.Stat(picture); err != nil {
				t.Error(err)
			}
		} else if b, _ := os.ReadFile(log); strings.Count(string(b), "\n") < strings.Count(text, "\n") {
			t.Errorf("%v: the log has ended early: %q", args, b)
		}
	}
}

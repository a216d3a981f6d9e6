package main

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ionoscribe/audio"
)

// PARIS takes 50 dots of 1.2/WPM seconds, the last seven of them a gap (ITU-R M.1677-1); a character of 45.45 Bd with
// 1.5 stop elements takes 165 ms, and a letters shift comes first. Both have the silence or mark around them that is ordered, and come from any source
// of text.
func TestSynthText(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "message.txt")
	must(t, os.WriteFile(file, []byte("PARIS\n"), 0o666))
	for _, c := range []struct {
		mode    string
		args    []string
		seconds float64
	}{
		{"cw", []string{"--wpm=12", "--lead=0.5", "--trail=0.25"}, 43*0.1 + 0.75},
		{"rtty", []string{"--lead=0.5", "--trail=0.25"}, 6*7.5*0.022 + 0.75},
	} {
		for _, text := range []string{"PARIS", "-", file} {
			out := filepath.Join(dir, "out.wav")
			status, printed, errs := try([]byte("PARIS\n"), append(append([]string{"synth", c.mode, "-o", out, "--snr=20"}, c.args...), text)...)
			if status != 0 || errs != "" || printed != out+"\n" {
				t.Fatal(c.mode, status, printed, errs)
			}
			recording, err := audio.Open(out, audio.Options{})
			must(t, err)
			got := float64(recording.Length()) / recording.SampleRate()
			recording.Close()
			if math.Abs(got-c.seconds) > 0.01 {
				t.Errorf("%s of %s: %.3f s, want %.3f", c.mode, text, got, c.seconds)
			}
		}
	}
	// The default name is that of the text's file.
	if status, printed, errs := try(nil, "synth", "cw", file); status != 0 || printed != strings.TrimSuffix(file, ".txt")+".wav\n" {
		t.Error(status, printed, errs)
	}
}

func TestSynthTextRefuses(t *testing.T) {
	for _, args := range [][]string{
		{"rtty", "--baud=0.1"}, {"rtty", "--shift=-1"}, {"rtty", "--alphabet=morse"}, {"rtty", "--stop=50"}, {"rtty", "--turn=2"}, {"rtty", "--snr=NaN"}, {"rtty", "--baud-error=50"},
		{"cw", "--wpm=0.001"}, {"cw", "--sender=robot"}, {"cw", "--weight=99"}, {"cw", "--change=5"}, {"cw", "--change=a,b"}, {"cw", "--pitch=1e9"}, {"cw", "--jitter=2"}, {"cw", "--edge=NaN"},
	} {
		status, _, errs := try(nil, append(append([]string{"synth"}, args...), "-o", filepath.Join(t.TempDir(), "x.wav"), "TEXT")...)
		if status != statusUsage {
			t.Errorf("%v: status %d", args, status)
		}
		oneError(t, errs)
	}
	for _, text := range []string{"", "-"} {
		status, _, errs := try(nil, "synth", "rtty", "-o", filepath.Join(t.TempDir(), "x.wav"), text)
		if status != statusUsage {
			t.Errorf("no text: status %d", status)
		}
		oneError(t, errs)
	}
}

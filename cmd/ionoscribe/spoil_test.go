package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ionoscribe/audio"
	"ionoscribe/samples"
)

// Every way to spoil a recording leaves one of the right length that is not the same, and the same seed the same.
func TestSynthFrom(t *testing.T) {
	signalsAlone(t)
	in := put(t, "clean.wav", recording)
	out := filepath.Join(t.TempDir(), "spoilt.wav")
	spoil := func(args ...string) []float32 {
		t.Helper()
		status, printed, errs := try(nil, append([]string{"synth", "--from", in, "-o", out}, args...)...)
		if status != 0 || errs != "" || printed != out+"\n" {
			t.Fatal(args, status, printed, errs)
		}
		s, err := audio.Open(out, audio.Options{})
		must(t, err)
		defer s.Close()
		x, err := samples.ReadAll(s)
		must(t, err)
		return x
	}
	same := func(a, b []float32) bool {
		if len(a) != len(b) {
			return false
		}
		for i, v := range a {
			if v != b[i] {
				return false
			}
		}
		return true
	}
	clean := spoil()
	for _, args := range [][]string{
		{"--snr=10"}, {"--channel=mid-moderate"}, {"--delay=2", "--spread=1"}, {"--other=carrier,10,1200"}, {"--other=rtty,0,1000", "--other=cw,3,600"},
		{"--other=speech,0"}, {"--static=10"}, {"--crashes=-10,0.02,5"}, {"--hum=-10"}, {"--low=300", "--high=2700"}, {"--agc"}, {"--clip=0.05"},
		{"--clock-error=100"}, {"--clock-drift=1000"}, {"--tuning-error=20"}, {"--drift=0.1"}, {"--drops=1,0.1"},
	} {
		x := spoil(args...)
		if same(x, clean) {
			t.Errorf("%v: nothing is spoilt", args)
		}
		if d := len(x) - len(clean); d < -len(clean)/5 || d > 100 {
			t.Errorf("%v: %d samples of %d", args, len(x), len(clean))
		}
		if !same(x, spoil(args...)) {
			t.Errorf("%v: not the same again", args)
		}
	}
	if same(spoil("--snr=10"), spoil("--snr=10", "--seed=2")) {
		t.Error("the seed changes nothing")
	}
}

func TestSynthFromRefuses(t *testing.T) {
	in := put(t, "clean.wav", recording)
	out := filepath.Join(t.TempDir(), "spoilt.wav")
	for _, arg := range []string{
		"--channel=nowhere", "--delay=-1", "--spread=1e9", "--other=carrier,1", "--other=organ,1,2", "--other=carrier,0,1e9", "--other=speech,loud",
		"--static=5000", "--crashes=1,2", "--crashes=0,2,5", "--low=1e9", "--clip=-1", "--clock-error=1e9", "--tuning-error=1e9", "--drops=1", "--drops=0,0", "--snr=NaN",
	} {
		status, printed, errs := try(nil, "synth", "--from", in, "-o", out, arg)
		if status != statusUsage || printed != "" {
			t.Errorf("%s: status %d, %q", arg, status, printed)
		}
		oneError(t, errs)
	}
	if _, err := os.Stat(out); err == nil {
		t.Error("a file was left")
	}
	silent := put(t, "silent.wav", append(wavHeader(8000, 1, 1600), make([]byte, 1600)...))
	for _, from := range []string{"-", silent, filepath.Join(t.TempDir(), "missing.wav")} {
		status, _, errs := try(nil, "synth", "--from", from, "-o", out)
		if status == 0 || from == silent && !strings.Contains(errs, silent) {
			t.Errorf("%s: status %d, %q", from, status, errs)
		}
		oneError(t, errs)
	}
}

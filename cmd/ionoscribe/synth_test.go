package main

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/grade"
)

func pngOf(t *testing.T, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	must(t, png.Encode(&b, m))
	return b.Bytes()
}

// What synth sends fax receives, and redraw draws again.
func TestSynthFaxRedraw(t *testing.T) {
	signalsAlone(t)
	dir := t.TempDir()
	picture := filepath.Join(dir, "chart.png")
	must(t, os.WriteFile(picture, pngOf(t, sent), 0o666))
	status, wav, errs := try(nil, "synth", "fax", "--snr=15", "--clock-error=300", "--tuning-error=-20", "--rate=8000", "-o", "-", picture)
	if status != 0 || errs != "" {
		t.Fatal(status, errs)
	}
	status, out, errs := try([]byte(wav), "fax", "--out", dir, "-")
	if status != 0 || errs != "" {
		t.Fatal(status, errs)
	}
	chart := strings.TrimSpace(out)
	got, err := chartfile.OpenPicture(chart)
	must(t, err)
	if db, _, _ := grade.Fidelity(sent, got.(*image.Gray), 3); db < 6 {
		t.Errorf("fidelity %.1f dB", db)
	}
	info, err := chartfile.ReadInfo(chart)
	must(t, err)
	if math.Abs(info.ClockPPM-300) > 5 || math.Abs(info.TuningHz+20) > 4 || math.Abs(info.SNR-15) > 3 {
		t.Errorf("clock %v ppm, tuning %v Hz, SNR %v dB; sent 300, -20, 15", info.ClockPPM, info.TuningHz, info.SNR)
	}

	status, out, errs = try(nil, "redraw", chart)
	again := strings.TrimSuffix(chart, ".png") + "-redrawn.png"
	if status != 0 || errs != "" || out != again+"\n" {
		t.Fatal(status, out, errs)
	}
	same, err := chartfile.OpenPicture(again)
	must(t, err)
	// Only rounding of the last, unfinished block of video lies between them.
	if db, dx, dy := grade.Fidelity(got.(*image.Gray), same.(*image.Gray), 1); db < 25 || dx != 0 || dy != 0 {
		t.Errorf("drawn again without changes: %.1f dB", db)
	}
}

func TestSynthFaxNamesItsFile(t *testing.T) {
	picture := put(t, "small.png", pngOf(t, image.NewGray(image.Rect(0, 0, 905, 4))))
	status, out, errs := try(nil, "synth", "fax", "--ioc=288", "--lpm=240", "--sideband=lower", "--phasing=halves", "--encoding=f32le", picture)
	want := strings.TrimSuffix(picture, "png") + "wav"
	if status != 0 || out != want+"\n" || errs != "" {
		t.Fatal(status, out, errs)
	}
	// Start 5 s, phasing 30 s, four lines 1 s, stop 5 s, black 10 s.
	if fi, err := os.Stat(want); err != nil || math.Abs(float64(fi.Size())-51*12000*4) > 2000 {
		t.Errorf("%v %v", fi, err)
	}
}

func TestSynthFaxRefuses(t *testing.T) {
	picture := put(t, "small.png", pngOf(t, image.NewGray(image.Rect(0, 0, 1810, 4))))
	for _, flag := range []string{"--rate=0.001", "--rate=1e12", "--ioc=5", "--lpm=7", "--deviation=5000", "--clock-error=1e9", "--snr=NaN", "--snr=-1e9", "--tuning-error=NaN", "--encoding=mp3"} {
		status, _, errs := try(nil, "synth", "fax", "--out=/dev/null", flag, picture)
		if status == 0 {
			t.Errorf("%s is taken", flag)
		}
		oneError(t, errs)
	}
}

func TestDemo(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "demo")
	status, out, errs := try(nil, "demo", "--lines=150", "--out", dir)
	if status != 0 || errs != "" {
		t.Fatal(status, errs)
	}
	for _, name := range []string{"sent.png", "received.png", "recording.wav"} {
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil || !strings.Contains(out, filepath.Join(dir, name)) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

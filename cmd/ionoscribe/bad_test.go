package main

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestBadSources(t *testing.T) {
	signalsAlone(t)
	header := recording[:44]
	lying := append(wavHeader(8000, 1, 1<<30), recording[44:]...)
	damaged := func(from int, b ...byte) []byte {
		return append(append(bytes.Clone(recording[:from]), b...), recording[from+len(b):]...)
	}
	odd := f32(float32(math.NaN()), float32(math.Inf(1)), float32(math.Inf(-1)), 1e38, -0)
	square := make([]float32, 20*8000)
	for i := range square {
		square[i] = float32(1 - 2*(i/4%2))
	}
	raw := []string{"--rate=8000", "--encoding=f32le"}
	const none, chart = 0, 1
	for _, test := range []struct {
		name   string
		data   []byte
		flags  []string
		status int
		says   string
		charts int
	}{
		{"empty file", nil, nil, statusFailed, "is empty", none},
		{"text file", []byte("Gale warning.\n"), nil, statusFailed, "as no recording does", none},
		{"header only", header, nil, statusFailed, "no samples", none},
		{"half a header", header[:30], nil, statusFailed, "", none},
		{"truncated data", recording[:len(recording)*3/4], nil, statusFailed, "", chart},
		{"lying size", lying, nil, statusFailed, "", chart},
		{"0 Hz", damaged(24, 0, 0, 0, 0), nil, statusFailed, "0 Hz", none},
		{"1 GHz", damaged(24, 0, 0xca, 0x9a, 0x3b), nil, statusFailed, "1e+09 Hz", none},
		{"64 channels", damaged(22, 64, 0), nil, statusFailed, "64 channels", none},
		{"raw, 64 channels", f32(square...), append(raw, "--channels=64"), statusFailed, "64 channels", none},
		{"raw, unknown encoding", odd, []string{"--rate=8000", "--encoding=x"}, statusFailed, "unknown encoding", none},
		{"raw without a rate", odd, []string{"--encoding=f32le"}, statusFailed, "--rate", none},
		{"no such channel", recording, []string{"--channel=7"}, statusFailed, "channel", none},
		{"NaN and infinities", bytes.Repeat(odd, 40000), raw, statusNoChart, "no chart", none},
		{"silence", make([]byte, 20*8000*4), raw, statusNoChart, "no chart", none},
		{"full-scale square wave", f32(square...), raw, statusNoChart, "no chart", none},
		{"one sample", f32(1), raw, statusNoChart, "no chart", none},
		{"empty FLAC", []byte("fLaC"), nil, statusFailed, "", none},
	} {
		t.Run(test.name, func(t *testing.T) {
			dir := t.TempDir()
			path := put(t, "source", test.data)
			status, out, errs := try(nil, append([]string{"fax", "--out", dir, path}, test.flags...)...)
			if status != test.status || !strings.Contains(errs, test.says) || !strings.Contains(errs, path) {
				t.Errorf("status %d, want %d: %q", status, test.status, errs)
			}
			oneError(t, errs)
			if n := len(saved(t, dir)); n != test.charts || strings.Count(out, "\n") != n {
				t.Errorf("%d charts, want %d: %q", n, test.charts, out)
			}
			// The same from standard input.
			if test.name == "lying size" || test.name == "truncated data" {
				return // a pipe has no length that could be found wanting before its end: covered above
			}
			status, _, errs = try(test.data, append([]string{"fax", "--out", dir, "-"}, test.flags...)...)
			if status != test.status {
				t.Errorf("standard input: status %d, want %d: %q", status, test.status, errs)
			}
			oneError(t, errs)
		})
	}
}

func TestSourcesThatAreNoFiles(t *testing.T) {
	out := "--out=" + t.TempDir()
	for _, path := range []string{t.TempDir(), filepath.Join(t.TempDir(), "absent"), "bad\x00name", "a\nb\x1b[31m", "/proc/self/mem"} {
		status, _, errs := try(nil, "fax", out, path)
		if status != statusFailed || strings.Contains(errs, "\x1b") {
			t.Errorf("%q: %d %q", path, status, errs)
		}
		oneError(t, errs)
	}
	if os.Geteuid() == 0 {
		return // root may read everything; /proc/self/mem above fails in the read itself
	}
	path := put(t, "secret.wav", recording)
	must(t, os.Chmod(path, 0))
	status, _, errs := try(nil, "fax", out, path)
	if status != statusFailed || !strings.Contains(errs, "permission") {
		t.Errorf("%d %q", status, errs)
	}
}

func TestOutputThatCannotBeWritten(t *testing.T) {
	source := put(t, "chart.wav", recording)
	picture := put(t, "chart.png", pngOf(t, sent))
	charts := t.TempDir()
	if status, _, errs := try(nil, "fax", "--out", charts, source); status != 0 {
		t.Fatal(errs)
	}
	chart := saved(t, charts)[0]
	file := put(t, "file", nil)
	for _, args := range [][]string{
		{"fax", "--out", file, source},
		{"fax", "--out", filepath.Join(file, "below"), source},
		{"fax", "--out", "/proc", source},
		{"demo", "--out", file},
		{"synth", "fax", "--out", "/dev/full", picture},
		{"synth", "fax", "--out", t.TempDir(), picture},
		{"synth", "fax", "--out", filepath.Join(file, "below.wav"), picture},
		{"redraw", "--out", "/dev/full", chart},
		{"redraw", "--out", t.TempDir(), chart},
		{"combine", "--out", t.TempDir(), chart, picture},
		{"combine", chart, filepath.Join(t.TempDir(), "absent.png")},
		{"redraw", "--out", filepath.Join(t.TempDir(), "absent", "x.png"), chart},
	} {
		status, out, errs := try(nil, args...)
		if status != statusFailed || out != "" {
			t.Errorf("%v: %d %q %q", args, status, out, errs)
		}
		oneError(t, errs)
	}
}

func TestBadPicturesAndCharts(t *testing.T) {
	good := pngOf(t, sent)
	huge := bytes.Clone(good)
	binary.BigEndian.PutUint32(huge[16:], 1<<30)
	for name, b := range map[string][]byte{"empty": nil, "text": []byte("hello"), "huge": huge, "cut": good[:len(good)/2], "recording": recording} {
		path := put(t, name, b)
		for _, args := range [][]string{{"synth", "fax", "--out", "/dev/null", path}, {"redraw", path}} {
			status, _, errs := try(nil, args...)
			if status != statusFailed {
				t.Errorf("%v: %d %q", args, status, errs)
			}
			oneError(t, errs)
		}
	}
}

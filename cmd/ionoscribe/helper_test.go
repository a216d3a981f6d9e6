package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

// program is the binary, for what cannot be tested within the process.
var program string

// recording is that of a chart of 60 lines, picture the chart.
var (
	recording []byte
	sent      *image.Gray
)

const recordingLines = 60

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "ionoscribe")
	if err == nil {
		program = filepath.Join(dir, "ionoscribe")
		var out []byte
		if out, err = exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
			err = fmt.Errorf("go build: %w: %s", err, out)
		}
	}
	if err == nil {
		err = makeRecording()
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	status := m.Run()
	os.RemoveAll(dir)
	os.Exit(status)
}

func makeRecording() error {
	sent = scenario.DenseChart(scenario.Width, recordingLines, 1)
	src, err := sendFax(samples.FaxConfig{
		Picture: sent, SampleRate: 8000, BlackSeconds: 1,
	}, samples.Path{Seed: 1, Noise: &samples.NoiseConfig{SNRdB: 15}})
	if err != nil {
		return err
	}
	x, err := samples.ReadAll(src)
	for _, v := range x {
		recording = binary.LittleEndian.AppendUint16(recording, uint16(int16(v*32767)))
	}
	recording = append(wavHeader(8000, 1, len(recording)), recording...)
	return err
}

// wavHeader is that of 16-bit samples (the WAVE chapter of "Multimedia Programming Interface and Data
// Specifications 1.0", 1991).
func wavHeader(rate uint32, channels uint16, bytes int) []byte {
	b := []byte("RIFF")
	b = binary.LittleEndian.AppendUint32(b, uint32(36+bytes))
	b = append(b, "WAVEfmt "...)
	b = binary.LittleEndian.AppendUint32(b, 16)
	b = binary.LittleEndian.AppendUint16(b, 1)
	b = binary.LittleEndian.AppendUint16(b, channels)
	b = binary.LittleEndian.AppendUint32(b, rate)
	b = binary.LittleEndian.AppendUint32(b, rate*2*uint32(channels))
	b = binary.LittleEndian.AppendUint16(b, 2*channels)
	b = binary.LittleEndian.AppendUint16(b, 16)
	b = append(b, "data"...)
	return binary.LittleEndian.AppendUint32(b, uint32(bytes))
}

// signalsAlone skips a test with -short, as the race detector runs: it is of what comes out of signals, and starts no
// goroutine that other tests do not start too.
func signalsAlone(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("long, and the goroutines are those of other tests")
	}
}

// put writes a file into a new folder.
func put(t *testing.T, name string, b []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	must(t, os.WriteFile(path, b, 0o666))
	return path
}

// try runs the program within the process; errs is without notes on times.
func try(in []byte, args ...string) (status int, out, errs string) {
	status, out, errs = tryAll(in, args...)
	return status, out, withoutTimes(errs)
}

// tryAll is try with all that is said.
func tryAll(in []byte, args ...string) (status int, out, errs string) {
	var o, e bytes.Buffer
	status = run(context.Background(), args, bytes.NewReader(in), &o, &e)
	return status, o.String(), e.String()
}

// withoutTimes takes out the lines that say where a time is from: the sources of most tests have none.
func withoutTimes(errs string) string {
	var b strings.Builder
	for line := range strings.Lines(errs) {
		if !strings.HasSuffix(line, "(--start orders another)\n") && !strings.HasSuffix(line, "--start gives it\n") {
			b.WriteString(line)
		}
	}
	return b.String()
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// oneError fails unless errs is one line that begins with the program's name.
func oneError(t *testing.T, errs string) {
	t.Helper()
	errs = withoutTimes(errs)
	if strings.Count(errs, "\n") != 1 || !strings.HasPrefix(errs, "ionoscribe: ") || strings.Contains(errs, "goroutine") {
		t.Errorf("standard error is not one clear line: %q", errs)
	}
}

// saved lists the pictures in a folder, which must all be readable, and nothing half written beside them.
func saved(t *testing.T, dir string) []string {
	t.Helper()
	files, _ := filepath.Glob(filepath.Join(dir, "*"))
	var pictures []string
	for _, f := range files {
		switch filepath.Ext(f) {
		case ".png":
			if _, err := chartfile.ReadInfo(f); err != nil {
				t.Error(err)
			}
			pictures = append(pictures, f)
		case ".part":
			t.Error("left behind: ", f)
		}
	}
	return pictures
}

func f32(x ...float32) []byte {
	var b []byte
	for _, v := range x {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
	}
	return b
}

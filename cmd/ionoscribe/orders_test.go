package main

import (
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Orders that cannot be followed are refused in one line, before anything is read.
func TestImpossibleOrders(t *testing.T) {
	wav := put(t, "chart.wav", recording)
	dir := t.TempDir()
	for _, c := range []struct {
		says string
		args []string
	}{
		{"--channels -3: there is at least one", []string{"rtty", "--channels=-3", "--rate=8000", "--encoding=s16le", "-"}},
		{"--channels 0: there is at least one", []string{"survey", "--channels=0", wav}},
		{"give - once", []string{"copy", "-o", dir, "-", "-"}},
		{"give - once", []string{"fax", "-o", dir, "-", wav, "-"}},
		{"give - once", []string{"cw", "-", "-"}},
		{"is a folder", []string{"synth", "rtty", dir}},
		{"is a folder", []string{"synth", "cw", "--out", "-", dir}},
		{"the year is not within 1900 and 9998", []string{"fax", "-o", dir, "--start=9999-12-31T23:59:59Z", wav}},
		{"the year is not within 1900 and 9998", []string{"survey", "--start=0000-01-01T00:00", wav}},
	} {
		status, out, errs := try(recording, c.args...)
		if status != statusUsage || out != "" || !strings.Contains(errs, c.says) {
			t.Errorf("%v: %d %q %q", c.args, status, out, errs)
		}
		oneError(t, errs)
	}
	if files, _ := os.ReadDir(dir); len(files) > 0 {
		t.Errorf("left behind: %v", files)
	}
}

// A file's time may be any; a chart is saved all the same.
func TestFileTimeOutOfRange(t *testing.T) {
	signalsAlone(t)
	wav, dir := put(t, "chart.wav", recording), t.TempDir()
	if err := os.Chtimes(wav, time.Time{}, time.Date(10001, 1, 1, 0, 0, 0, 0, time.UTC)); err != nil {
		t.Log("this file system has no such time: ", err)
	}
	if status, out, errs := try(nil, "fax", "--json", "-o", dir, wav); status != statusOK || strings.Count(out, "\n") != 1 {
		t.Errorf("%d %q %q", status, out, errs)
	}
	onlyChart(t, dir)
}

// A carrier is found, and it is not said that nothing was.
func TestCopyOfCarriers(t *testing.T) {
	const rate, seconds = 8000, 40
	b := wavHeader(rate, 1, 2*rate*seconds)
	noise := uint32(1)
	for i := range rate * seconds {
		noise = noise*1664525 + 1013904223
		v := 8000*math.Sin(2*math.Pi*1500*float64(i)/rate) + float64(int16(noise>>16))/100
		b = binary.LittleEndian.AppendUint16(b, uint16(int16(v)))
	}
	status, out, errs := try(nil, "copy", "-o", filepath.Join(t.TempDir(), "new"), put(t, "carrier.wav", b))
	if status != statusNoChart || !strings.Contains(out, "1 carrier") || !strings.Contains(errs, "that can be copied in ") || !strings.Contains(errs, "1 carrier") {
		t.Errorf("%d %q %q", status, out, errs)
	}
	oneError(t, errs)
}

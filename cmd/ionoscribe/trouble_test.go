package main

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// breaking is a source during which a folder is gone, a file in its place: from a third of it to two thirds, or for ever.
type breaking struct {
	sound   []byte
	at      int
	dir     string
	forEver bool
	t       *testing.T
}

func (b *breaking) Read(p []byte) (int, error) {
	if b.at == len(b.sound) {
		return 0, io.EOF
	}
	before := b.at * 3 / len(b.sound)
	n := copy(p[:min(len(p), 4096)], b.sound[b.at:])
	b.at += n
	switch third := b.at * 3 / len(b.sound); {
	case before == third:
	case third == 1:
		must(b.t, os.Rename(b.dir, b.away()))
		must(b.t, os.WriteFile(b.dir, nil, 0o666))
	case third == 2 && !b.forEver:
		must(b.t, os.Remove(b.dir))
	}
	return n, nil
}

func (b *breaking) away() string { return b.dir + "-away" }

// all is what the files of a pattern hold, those that were moved away first.
func (b *breaking) all(pattern string) string {
	var all []byte
	for _, dir := range []string{b.away(), b.dir} {
		files, _ := filepath.Glob(filepath.Join(dir, pattern))
		for _, f := range files {
			text, err := os.ReadFile(f)
			must(b.t, err)
			all = append(all, text...)
		}
	}
	return string(all)
}

// What cannot be written for a time is written later, and that is told at once and when it is over; what never can be is
// told in the end, and no more is counted than was saved.
func TestWritesThatFail(t *testing.T) {
	text := strings.Repeat("GALE WARNING OSTREL SEA\n", 9)
	status, wav, errs := try(nil, "synth", "rtty", "--rate=8000", "--snr=12", "-o", "-", text)
	if status != 0 {
		t.Fatal(errs)
	}
	silence := make([]byte, len(recording)/2*2)
	chart := slices.Concat(wavHeader(8000, 1, 0x7ffffff0), silence[len(silence)/4*2:], recording[44:], silence, silence[len(silence)/4*2:])
	for _, c := range []struct {
		args    []string
		sound   []byte
		file    string
		holds   []string
		forEver bool
		status  int
	}{
		{[]string{"copy", "-o", "DIR", "-"}, []byte(wav), "*.txt", []string{text}, false, statusOK},
		{[]string{"copy", "-o", "DIR", "-"}, []byte(wav), "*.txt", nil, true, statusFailed},
		{[]string{"rtty", "--log", "DIR/log", "-"}, []byte(wav), "log", strings.Split(text, "\n"), false, statusOK},
		{[]string{"rtty", "--log", "DIR/log", "-"}, []byte(wav), "log", nil, true, statusFailed},
		// The end of the chart is in the middle third.
		{[]string{"fax", "-o", "DIR", "-"}, chart, "*.png", []string{"\x89PNG"}, false, statusOK},
		{[]string{"fax", "-o", "DIR", "-"}, chart, "*.png", nil, true, statusFailed},
		{[]string{"copy", "-o", "DIR", "-"}, chart, "*.video", []string{"ionoscribe video"}, false, statusOK},
	} {
		b := &breaking{sound: c.sound, dir: filepath.Join(t.TempDir(), "out"), forEver: c.forEver, t: t}
		must(t, os.Mkdir(b.dir, 0o777))
		for i := range c.args {
			c.args[i] = strings.ReplaceAll(c.args[i], "DIR", b.dir)
		}
		var out, errs bytes.Buffer
		status := run(context.Background(), c.args, b, &out, &errs)
		lines := strings.SplitAfter(strings.TrimSuffix(withoutTimes(errs.String()), "\n"), "\n")
		told := len(lines) == 2 && strings.Contains(lines[0], "what comes in is kept, and tried again") &&
			(c.forEver && strings.Contains(lines[1], "not a directory") || !c.forEver && strings.Contains(lines[1], "nothing was lost"))
		if status != c.status || !told {
			t.Errorf("%v: %d %q", c.args, status, errs.String())
		}
		got := b.all(c.file)
		if c.file == "*.txt" {
			got = withoutStamps(got)
		}
		for _, want := range c.holds {
			if !strings.Contains(got, want) {
				t.Errorf("%v: %q is not in %.300q", c.args, want, got)
			}
		}
		if c.forEver && c.args[0] == "copy" && strings.Contains(out.String(), " 216 characters") {
			t.Errorf("characters are counted that were lost: %q", out.String())
		}
	}
}

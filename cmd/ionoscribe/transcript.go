package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// transcript is the text of one transmission and its file, which is opened for each piece of text and closed again:
// whoever copies for days has no file open, and files may be moved away at any time.
type transcript struct {
	folder, name string // the file's, without suffix
	heading      string // its first line
	path         string // "" until there is text
	pending      []byte
	lines        *textLines
	characters   int
	err          error // of the first write that failed
}

// newTranscript prepares a transcript; line gets each line that is complete, with the time when it began.
func newTranscript(folder, name, heading string, doubt float64, line func(at, text string)) *transcript {
	t := &transcript{folder: folder, name: name, heading: heading}
	t.lines = &textLines{out: t, log: lineFunc(line), doubt: doubt, lines: map[int]*textLine{}}
	return t
}

// lineFunc is the log of textLines as a function.
type lineFunc func(at, text string)

func (f lineFunc) Write(line []byte) (int, error) {
	const time = len("2006-01-02T15:04:05Z")
	f(string(line[:time]), string(line[time+2:len(line)-1]))
	return len(line), nil
}

// Write takes text for the file.
func (t *transcript) Write(text []byte) (int, error) {
	t.pending = append(t.pending, text...)
	return len(text), nil
}

func (t *transcript) char(text string, confidence float64, at time.Time) {
	t.characters++
	t.lines.char(0, "", text, confidence, at)
}

// save brings what is pending into the file.
func (t *transcript) save() {
	if len(t.pending) == 0 || t.err != nil {
		return
	}
	if t.path == "" {
		t.begin()
	}
	if t.err == nil {
		t.err = t.write(os.O_APPEND|os.O_CREATE, string(t.pending))
	}
	t.pending = t.pending[:0]
}

// begin finds a free name.
func (t *transcript) begin() {
	const most = 999
	for n := 1; n <= most; n++ {
		t.path = filepath.Join(t.folder, t.name+".txt")
		if n > 1 {
			t.path = filepath.Join(t.folder, fmt.Sprintf("%s_%d.txt", t.name, n))
		}
		if t.err = t.write(os.O_CREATE|os.O_EXCL, t.heading+"\n\n"); !errors.Is(t.err, fs.ErrExist) {
			return
		}
	}
}

func (t *transcript) write(flag int, text string) error {
	f, err := os.OpenFile(t.path, os.O_WRONLY|flag, 0o666)
	if err == nil {
		_, err = f.WriteString(text)
		err = errors.Join(err, f.Close())
	}
	if err != nil {
		return fmt.Errorf("write %s: %w; make room or choose another folder", t.path, cause(err))
	}
	return nil
}

// end completes the last line.
func (t *transcript) end() {
	t.lines.endAll()
	t.save()
}

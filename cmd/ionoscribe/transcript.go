package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"
	"unicode/utf8"
)

// transcript is the text of one transmission and its file.
type transcript struct {
	file         appender
	folder, name string // the file's, without suffix
	heading      string // its first line
	begun        bool
	lines        *textLines
	characters   int
}

// newTranscript prepares a transcript; line gets each line that is complete, with the time when it began.
func newTranscript(folder, name, heading string, doubt float64, trouble *trouble, line func(at, text string)) *transcript {
	t := &transcript{folder: folder, name: name, heading: heading}
	t.file = appender{path: filepath.Join(folder, name+".txt"), trouble: trouble}
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
	t.file.keep(text)
	return len(text), nil
}

func (t *transcript) char(text string, confidence float64, at time.Time) {
	t.characters++
	t.lines.char(0, "", text, confidence, at)
}

// save brings what is pending into the file, which is made when there is text.
func (t *transcript) save() error {
	if len(t.file.pending) == 0 {
		return nil
	}
	if !t.begun {
		if err := t.begin(); err != nil {
			err = appendError(t.file.path, err)
			t.file.trouble.failed(t.file.path, err)
			return err
		}
		t.begun = true
	}
	return t.file.save()
}

// begin finds a free name.
func (t *transcript) begin() error {
	const most = 999
	if err := os.MkdirAll(t.folder, 0o777); err != nil {
		return err
	}
	for n := 1; n <= most; n++ {
		path := filepath.Join(t.folder, t.name+".txt")
		if n > 1 {
			path = filepath.Join(t.folder, fmt.Sprintf("%s_%d.txt", t.name, n))
		}
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return err
		}
		t.file.trouble.works(t.file.path)
		t.file.path = path
		t.file.pending = append([]byte(t.heading+"\n\n"), t.file.pending...)
		return f.Close()
	}
	return fmt.Errorf("%d transmissions began in this second", most)
}

// path is that of the file, "" if there is none.
func (t *transcript) path() string {
	if !t.begun {
		return ""
	}
	return t.file.path
}

// saved is the number of characters that are in the file.
func (t *transcript) saved() int {
	if !t.begun {
		return 0
	}
	return max(0, t.characters-utf8.RuneCount(t.file.pending)-int(t.file.lost))
}

// end completes the last line, and tells whether all is in the file.
func (t *transcript) end() bool {
	t.lines.endAll()
	return t.save() == nil
}

// close tries for the last time; the error tells what is not in the file.
func (t *transcript) close() error {
	if err := t.save(); err != nil {
		return err
	}
	return t.file.close()
}

package filing

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"
	"unicode/utf8"

	"ionoscribe/copydesk"
)

// transcript is the text of one transmission and its file:
//
//	heading
//
//	TIME  line of text
//	TIME  ended; ...
type transcript struct {
	file       Appender
	base       string          // the file's path, without suffix
	heading    string          // its first line
	again      bool            // a file of the same name and heading is of the same transmission, and is replaced,
	written    map[string]bool // but for these paths, which are of this run
	begun      bool
	latest     copydesk.Event // of a character
	lines      Lines
	characters int
	doubtful   int
	confidence float64 // sum
}

// doubtful is what fewer than half of the characters of such a confidence are: right.
const doubtful = 0.5

// newTranscript prepares a transcript; line gets each line that is complete, with the time when it began.
func newTranscript(base, heading string, again bool, written map[string]bool, doubt float64, t *Trouble, line func(at, text string)) *transcript {
	x := &transcript{base: base, heading: heading, again: again, written: written}
	x.file = Appender{path: base + ".txt", trouble: t}
	x.lines = Lines{Out: x, Log: lineFunc(line), Stamped: true, Doubt: doubt}
	return x
}

// lineFunc is the log of Lines as a function.
type lineFunc func(at, text string)

func (f lineFunc) Write(line []byte) (int, error) {
	f(string(line[:len(TimeForm)]), string(line[len(TimeForm)+2:len(line)-1]))
	return len(line), nil
}

// Write takes text for the file.
func (t *transcript) Write(text []byte) (int, error) {
	t.file.keep(text)
	return len(text), nil
}

func (t *transcript) char(text string, confidence float64, at time.Time) {
	t.characters++
	t.confidence += confidence
	if confidence < doubtful {
		t.doubtful++
	}
	t.lines.Char(0, "", text, confidence, at)
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
	return t.file.Save()
}

// begin finds a free name, or the file of the same transmission.
func (t *transcript) begin() error {
	const most = 999
	if err := os.MkdirAll(filepath.Dir(t.base), 0o777); err != nil {
		return err
	}
	head := []byte(t.heading + "\n\n")
	for n := 1; n <= most; n++ {
		path := t.base + ".txt"
		if n > 1 {
			path = fmt.Sprintf("%s_%d.txt", t.base, n)
		}
		flags := os.O_EXCL
		if t.again && !t.written[path] && begins(path, head) {
			flags = os.O_TRUNC
		}
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|flags, 0o666)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return err
		}
		t.written[path] = true
		t.file.trouble.works(t.file.path)
		t.file.path = path
		t.file.pending = append(head, t.file.pending...)
		return f.Close()
	}
	return fmt.Errorf("%d transmissions began in this second", most)
}

// begins tells whether a file begins so.
func begins(path string, with []byte) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	b := make([]byte, len(with))
	n, _ := f.Read(b)
	return bytes.Equal(b[:n], with)
}

// path is that of the file, "" if there is none.
func (t *transcript) path() string {
	if !t.begun {
		return ""
	}
	return t.file.path
}

// saved is the number of characters sent that are in the file.
func (t *transcript) saved() int {
	if !t.begun {
		return 0
	}
	return min(t.characters, max(0, t.characters-utf8.RuneCount(t.file.pending)-int(t.file.lost)))
}

// end completes the last line and adds a last one on the whole; it tells whether all is in the file.
func (t *transcript) end(at time.Time, snr float64) bool {
	t.lines.EndAll()
	if t.characters > 0 {
		fmt.Fprintf(t, "\n%s  ended; SNR %.1f dB, %s, mean confidence %.2f, %d doubtful\n", stamp(at), snr,
			count(t.characters, "character"), t.confidence/float64(t.characters), t.doubtful)
	}
	return t.save() == nil
}

// close tries for the last time; the error tells what is not in the file.
func (t *transcript) close() error {
	if err := t.save(); err != nil {
		return err
	}
	return t.file.Close()
}

// count is a number of things: "1 chart", "2 charts".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

package audio

import (
	"bufio"
	"bytes"
	"errors"
	"slices"
)

// rewinder reads what may have to be read again from one byte further on.
type rewinder struct {
	r     *bufio.Reader
	kept  []byte // since the mark
	pos   int    // bytes of kept that were read
	limit int    // of kept
}

var errTooLong = errors.New("longer than any of its kind")

func (w *rewinder) Read(p []byte) (int, error) {
	if w.pos == len(w.kept) {
		if err := w.more(); err != nil {
			return 0, err
		}
	}
	n := copy(p, w.kept[w.pos:])
	w.pos += n
	return n, nil
}

// more reads what is there, and waits only if there is nothing.
func (w *rewinder) more() error {
	if len(w.kept) > w.limit {
		return errTooLong
	}
	have := len(w.kept)
	w.kept = slices.Grow(w.kept, 4096)
	n, err := w.r.Read(w.kept[have : have+4096])
	w.kept = w.kept[:have+n]
	if n > 0 {
		return nil // an error comes again
	}
	return err
}

// mark forgets what was read.
func (w *rewinder) mark() { w.drop(w.pos) }

// drop forgets n bytes, and goes back to the first one after them.
func (w *rewinder) drop(n int) {
	w.kept = w.kept[:copy(w.kept, w.kept[n:])]
	w.pos = 0
}

// seek goes back to the mark and on from there, past at least one byte, to the next first byte of what begin
// recognises by two bytes. It returns how many bytes it passed over.
func (w *rewinder) seek(first byte, begins func(a, b byte) bool) (passed int64, err error) {
	from := 1
	for {
		for from < len(w.kept)-1 {
			i := bytes.IndexByte(w.kept[from:len(w.kept)-1], first)
			if i < 0 {
				break
			}
			from += i
			if begins(w.kept[from], w.kept[from+1]) {
				w.drop(from)
				return passed + int64(from), nil
			}
			from++
		}
		if n := len(w.kept) - 1; n > 0 {
			passed += int64(n)
			w.drop(n)
			from = 0
		}
		if err := w.more(); err != nil {
			return passed + int64(len(w.kept)), err
		}
	}
}

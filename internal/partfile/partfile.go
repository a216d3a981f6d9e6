// Package partfile makes the files that are written beside their place and renamed when they are complete. Whoever is
// killed meanwhile leaves them behind; a lock, which dies with its holder, tells such a leftover from the file of a
// program that lives.
package partfile

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
)

// Suffix is that of all of them.
const Suffix = ".part"

// leftover is the name of a file that Create made, or of the reserved name of a chart's picture.
var leftover = regexp.MustCompile(`(\.[0-9a-f]{8}|^[0-9]{8}T[0-9]{6}Z[-_].*\.png)\` + Suffix + `$`)

// Create makes a new file beside path, and locks it.
func Create(path string) (*os.File, error) {
	for {
		f, err := Reserve(fmt.Sprintf("%s.%08x%s", path, rand.Uint32(), Suffix))
		if !errors.Is(err, fs.ErrExist) {
			return f, err
		}
	}
}

// Reserve makes the new file of this very name, and locks it; it fails with fs.ErrExist if the name is taken.
func Reserve(name string) (*os.File, error) {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return nil, err
	}
	if Lock(f) && there(f) {
		return f, nil
	}
	f.Close() // between the two lines someone swept it
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrExist}
}

// Place gives a file that is complete its name, and closes it; if that fails, it removes it.
func Place(f *os.File, path string) error {
	if closeFirst {
		f.Close()
	}
	err := os.Rename(f.Name(), path)
	if err != nil {
		os.Remove(f.Name())
	}
	f.Close()
	return err
}

// Discard removes a file and closes it.
func Discard(f *os.File) {
	if closeFirst {
		f.Close()
	}
	os.Remove(f.Name())
	f.Close()
}

// closeFirst is so where an open file can be neither renamed nor removed. Elsewhere the lock lasts until that is done.
const closeFirst = runtime.GOOS == "windows"

// Lock locks a file until it is closed; false: another holds it.
func Lock(f *os.File) bool { return lock(f) }

// there tells whether the name of an open file still is that file's.
func there(f *os.File) bool {
	a, err := f.Stat()
	b, e := os.Lstat(f.Name())
	return err == nil && e == nil && os.SameFile(a, b)
}

// Orphan opens a file that no one holds, and locks it; nil if it is held, or not there.
func Orphan(name string) *os.File {
	if fi, err := os.Lstat(name); err != nil || !fi.Mode().IsRegular() {
		return nil
	}
	f, err := os.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		return nil
	}
	if !Lock(f) || !there(f) {
		f.Close()
		return nil
	}
	return f
}

// Sweep removes what was left behind in a folder by programs that were killed.
func Sweep(dir string) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return // who wants to write there will be told
	}
	for _, e := range entries {
		if !leftover.MatchString(e.Name()) {
			continue
		}
		if f := Orphan(filepath.Join(dir, e.Name())); f != nil {
			Discard(f)
		}
	}
}

// maxLinks bounds how many links are followed.
const maxLinks = 40

// Target follows links to the file that is meant, also where it is not there yet: to rename onto a link would replace
// the link.
func Target(path string) (string, error) {
	for range maxLinks {
		to, err := os.Readlink(path)
		if err != nil { // no link, or not there
			return path, nil
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(path), to)
		}
		path = to
	}
	return "", &fs.PathError{Op: "open", Path: path, Err: errors.New("too many links")}
}

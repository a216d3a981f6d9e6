package audio

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
)

// CreateWAV begins a WAV file; see NewWAVWriter. It is written beside path and renamed when Close succeeds,
// so that path never holds half a recording. What is there but no file, such as a device, is written directly.
func CreateWAV(path string, rate float64, enc Encoding) (*WAVWriter, error) {
	return createWAV(path, rate, enc, 1)
}

// CreateIQWAV is CreateWAV for complex samples; see NewIQWAVWriter.
func CreateIQWAV(path string, rate float64, enc Encoding) (*WAVWriter, error) {
	return createWAV(path, rate, enc, 2)
}

func createWAV(path string, rate float64, enc Encoding, channels int) (*WAVWriter, error) {
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target // else the rename would replace the link
	}
	name, flag, finish := fmt.Sprintf("%s.%08x.part", path, rand.Uint32()), os.O_CREATE|os.O_EXCL, rename
	if fi, err := os.Stat(path); err == nil && !fi.Mode().IsRegular() {
		name, flag, finish = path, 0, closeOnly
		if fi.IsDir() {
			return nil, newError("create", path, mended{errors.New("is a directory"), "name a file in it"})
		}
	}
	f, err := os.OpenFile(name, os.O_WRONLY|flag, 0o666)
	if err != nil {
		e := newError("create", path, err)
		if errors.Is(err, fs.ErrNotExist) {
			e.Mend = "make its folder first"
		}
		return nil, e
	}
	x, err := newWAVWriter(f, rate, enc, channels)
	if err != nil {
		return nil, newError("create", path, finish(f, path, err))
	}
	x.finish = func(err error) error {
		if err = finish(f, path, err); err != nil {
			return newError("write", path, err)
		}
		return nil
	}
	return x, nil
}

// rename gives f its name, or removes it if err is not nil. It returns the first error.
func rename(f *os.File, path string, err error) error {
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		os.Remove(f.Name())
		return err
	}
	// The name itself is safe once the folder is; not every file system can do it.
	if d, err := os.Open(filepath.Dir(path)); err == nil {
		d.Sync()
		d.Close()
	}
	return nil
}

func closeOnly(f *os.File, _ string, err error) error {
	if e := f.Close(); err == nil {
		err = e
	}
	return err
}

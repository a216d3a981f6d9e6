package audio

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"ionoscribe/internal/partfile"
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
	target, err := partfile.Target(path)
	if err != nil {
		return nil, newError("create", path, err)
	}
	path = target
	partfile.Sweep(filepath.Dir(path))
	create, finish := func() (*os.File, error) { return partfile.Create(path) }, rename
	if fi, err := os.Stat(path); err == nil && !fi.Mode().IsRegular() {
		if fi.IsDir() {
			return nil, newError("create", path, mended{errors.New("is a directory"), "name a file in it"})
		}
		create, finish = func() (*os.File, error) { return os.OpenFile(path, os.O_WRONLY, 0) }, closeOnly
	}
	f, err := create()
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
	if err != nil {
		partfile.Discard(f)
		return err
	}
	if err := partfile.Place(f, path); err != nil {
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

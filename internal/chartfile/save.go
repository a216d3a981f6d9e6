package chartfile

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
)

// Suffixes of the two files of a chart, which share the rest of their name.
const (
	PictureSuffix = ".png"
	VideoSuffix   = ".video"
)

// maxSame is how many charts may begin in the same second; more is a loop gone wild.
const maxSame = 999

// VideoPath is where the video of the chart with this picture is.
func VideoPath(picture string) string {
	return strings.TrimSuffix(picture, filepath.Ext(picture)) + VideoSuffix
}

// Save writes the chart into dir, which is made if need be, and returns the paths of its files; that of the
// video is empty if c.Video is nil or could not be written. The picture is kept even if the video fails.
// Every error is an *Error.
func Save(dir string, c *Chart) (picture, video string, err error) {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return "", "", writeError(dir, err)
	}
	part, picture, err := reserve(dir, c.Name())
	if err != nil {
		return "", "", err
	}
	if err := fill(part, func(w io.Writer) error { return EncodePNG(w, c.Image, c.Info) }); err != nil {
		os.Remove(part.Name())
		return "", "", writeError(picture, err)
	}
	// The video gets its name before the picture does: who sees the picture finds the video.
	if c.Video != nil {
		video = VideoPath(picture)
		if err = WriteFile(video, func(w io.Writer) error { return EncodeVideo(w, c) }); err != nil {
			video = ""
		}
	}
	if e := os.Rename(part.Name(), picture); e != nil {
		os.Remove(part.Name())
		return "", video, writeError(picture, e)
	}
	syncFolder(picture)
	return picture, video, err
}

// reserve finds a free name and opens the .part of its picture. While that is there no one else takes the name;
// it becomes the picture at one stroke, so whoever holds the .part can tell whether the name is free.
func reserve(dir, name string) (part *os.File, picture string, err error) {
	for n := 1; n <= maxSame; n++ {
		picture = filepath.Join(dir, name+PictureSuffix)
		if n > 1 {
			picture = filepath.Join(dir, fmt.Sprintf("%s_%d%s", name, n, PictureSuffix)) // _ sorts after .
		}
		part, err = os.OpenFile(picture+".part", os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		switch {
		case errors.Is(err, fs.ErrExist):
		case err != nil:
			return nil, "", writeError(picture, err)
		case !exists(picture) && !exists(VideoPath(picture)):
			return part, picture, nil
		default:
			part.Close()
			os.Remove(part.Name())
		}
	}
	return nil, "", &Error{Op: "write", Path: picture, Err: fmt.Errorf("%d charts began in this second", maxSame),
		Mend: "clear the folder or choose another one"}
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return !errors.Is(err, fs.ErrNotExist)
}

// WriteFile writes what f writes beside path and renames it when it is complete and on disk, so that path never
// holds half of it. What is there but no file, such as a device, is written directly. Every error is an *Error.
func WriteFile(path string, f func(io.Writer) error) error {
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target // else the rename would replace the link
	}
	name, flag, special := fmt.Sprintf("%s.%08x.part", path, rand.Uint32()), os.O_CREATE|os.O_EXCL, false
	if fi, err := os.Stat(path); err == nil && !fi.Mode().IsRegular() {
		name, flag, special = path, 0, true
	}
	file, err := os.OpenFile(name, os.O_WRONLY|flag, 0o666)
	if err != nil {
		return writeError(path, err)
	}
	if special {
		err = errors.Join(f(file), file.Close())
	} else if err = fill(file, f); err == nil {
		err = os.Rename(name, path)
	}
	if err == nil {
		syncFolder(path)
		return nil
	}
	if !special {
		os.Remove(name)
	}
	return writeError(path, err)
}

// fill writes what f writes and closes the file; it returns the first error.
func fill(file *os.File, f func(io.Writer) error) error {
	w := bufio.NewWriterSize(file, 1<<16)
	err := f(w)
	if err == nil {
		err = w.Flush()
	}
	if err == nil {
		err = file.Sync()
	}
	if e := file.Close(); err == nil {
		err = e
	}
	return err
}

// syncFolder makes the name safe too; not every file system can do it.
func syncFolder(path string) {
	if d, err := os.Open(filepath.Dir(path)); err == nil {
		d.Sync()
		d.Close()
	}
}

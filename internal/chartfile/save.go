package chartfile

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"ionoscribe/internal/partfile"
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
// video is empty if c.Video is nil or could not be written. The picture is kept even if the video fails. arriving, if
// not nil, is the file of the chart while it came in: it is removed when the chart has taken its place. Every error is
// an *Error.
func Save(dir string, c *Chart, arriving *Arriving) (picture, video string, err error) {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return "", "", writeError(dir, err)
	}
	part, picture, err := reserve(dir, c)
	if err != nil {
		return "", "", err
	}
	if err := fill(part, func(w io.Writer) error { return EncodePNG(w, c.Image, c.Info) }); err != nil {
		partfile.Discard(part)
		return "", "", writeError(picture, err)
	}
	if arriving != nil {
		arriving.name(picture)
	}
	// The video gets its name before the picture does: who sees the picture finds the video.
	if c.Video != nil {
		video = VideoPath(picture)
		if err = SaveVideo(picture, c); err != nil {
			video = ""
		}
	}
	if e := partfile.Place(part, picture); e != nil {
		if video != "" {
			os.Remove(video)
		}
		return "", "", writeError(picture, e)
	}
	syncFolder(picture)
	if arriving != nil && err == nil {
		arriving.Remove()
	}
	return picture, video, err
}

// SaveVideo writes the video of the chart with this picture. Every error is an *Error.
func SaveVideo(picture string, c *Chart) error {
	return WriteFile(VideoPath(picture), func(w io.Writer) error { return EncodeVideo(w, c) })
}

// reserve finds a free name and opens the .part of its picture. While that is there no one else takes the name;
// it becomes the picture at one stroke, so whoever holds the .part can tell whether the name is free.
func reserve(dir string, c *Chart) (part *os.File, picture string, err error) {
	name := c.File
	if name == "" {
		name = c.Name()
	}
	for n := 1; n <= maxSame; n++ {
		picture = filepath.Join(dir, numbered(name, n)+PictureSuffix)
		part, err = partfile.Reserve(picture + partfile.Suffix)
		switch {
		case errors.Is(err, fs.ErrExist):
		case err != nil:
			return nil, "", writeError(picture, err)
		case !exists(picture) && !exists(VideoPath(picture)) || c.Again && c.is(picture):
			return part, picture, nil
		default:
			partfile.Discard(part)
		}
	}
	return nil, "", tooMany(picture)
}

// is says whether a picture shows the same chart, received at another time from the same source.
func (c *Chart) is(picture string) bool {
	i, err := ReadInfo(picture)
	return err == nil && i.Source == latin1(c.Source) && i.Start.Equal(c.Start)
}

func tooMany(path string) error {
	return &Error{Op: "write", Path: path, Err: fmt.Errorf("%d charts began in this second", maxSame),
		Mend: "clear the folder or choose another one"}
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return !errors.Is(err, fs.ErrNotExist)
}

// WriteFile writes what f writes beside path and renames it when it is complete and on disk, so that path never
// holds half of it. What is there but no file, such as a device, is written directly. Every error is an *Error.
func WriteFile(path string, f func(io.Writer) error) error {
	target, err := partfile.Target(path)
	if err != nil {
		return writeError(path, err)
	}
	path = target
	if fi, err := os.Stat(path); err == nil && !fi.Mode().IsRegular() {
		file, err := os.OpenFile(path, os.O_WRONLY, 0)
		if err != nil {
			return writeError(path, err)
		}
		if err = errors.Join(f(file), file.Close()); err != nil {
			return writeError(path, err)
		}
		return nil
	}
	file, err := partfile.Create(path)
	if err != nil {
		return writeError(path, err)
	}
	if err := fill(file, f); err != nil {
		partfile.Discard(file)
		return writeError(path, err)
	}
	if err := partfile.Place(file, path); err != nil {
		return writeError(path, err)
	}
	syncFolder(path)
	return nil
}

// fill writes what f writes, onto the disk.
func fill(file *os.File, f func(io.Writer) error) error {
	w := bufio.NewWriterSize(file, 1<<16)
	err := f(w)
	if err == nil {
		err = w.Flush()
	}
	if err == nil {
		err = file.Sync()
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

package archive

import (
	"bytes"
	"encoding/json"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/image/draw"

	"ionoscribe/internal/chartfile"
)

// Chart tells of a chart whose files are saved, in a transmission that may have ended.
func (a *Archive) Chart(id ID, c Chart) {
	c.Transmission = id
	a.mutex.Lock()
	defer a.mutex.Unlock()
	a.putChart(&c)
}

func (a *Archive) putChart(c *Chart) {
	picture, video := c.Picture, c.Video
	c.Picture, c.Video = a.within(picture), a.within(video)
	info, err := json.Marshal(c.Info)
	if err != nil {
		a.note("a chart's description cannot be kept", "picture", c.Picture, "error", err)
		info = []byte("{}")
	}
	a.pending.put(row{
		key: key{table: tableChart, name: c.Picture}, bytes: len(info) + 8000,
		prepare: func() {
			if c.Thumbnail == nil {
				c.Thumbnail = thumbnail(c.Image, picture)
			}
			c.Image = nil
			c.PictureBytes, c.VideoBytes = fileSize(picture), fileSize(video)
		},
		write: func(w *writer) error { return w.insertChart(c, info) },
	})
}

func (w *writer) insertChart(c *Chart, info []byte) error {
	err := w.exec(`INSERT INTO chart (transmission, title, entry, begun, ended, picture, video, picture_bytes, video_bytes, quality, info, thumbnail)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (picture) DO UPDATE SET transmission = excluded.transmission, title = excluded.title, entry = excluded.entry, begun = excluded.begun,
		ended = excluded.ended, video = excluded.video, picture_bytes = excluded.picture_bytes, video_bytes = excluded.video_bytes,
		quality = excluded.quality, info = excluded.info, thumbnail = excluded.thumbnail`,
		c.Transmission, c.Title, c.Entry, millis(c.Info.Start), millis(c.Info.End), c.Picture, c.Video, c.PictureBytes, c.VideoBytes,
		unit(c.Info.Quality.Mean()), string(info), c.Thumbnail)
	if err != nil {
		return err
	}
	err = w.exec("UPDATE transmission SET quality = (SELECT avg(quality) FROM chart WHERE transmission = ?1) WHERE id = ?1", c.Transmission)
	if err != nil || c.Title == "" {
		return err
	}
	return w.exec(putAbout, c.Transmission)
}

// within is the path of a file from the station's folder, with slashes. What is elsewhere keeps its own.
func (r *Reader) within(path string) string {
	if path == "" {
		return ""
	}
	full, err := filepath.Abs(path)
	if err != nil {
		return filepath.ToSlash(path)
	}
	if rel, err := filepath.Rel(r.dir, full); err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
		full = rel
	}
	return filepath.ToSlash(full)
}

// file is the path of a file that within named.
func (r *Reader) file(name string) string {
	name = filepath.FromSlash(name)
	if filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(r.dir, name)
}

func fileSize(path string) int64 {
	if fi, err := os.Stat(path); err == nil && fi.Mode().IsRegular() {
		return fi.Size()
	}
	return 0
}

// A thumbnail has room in a list of many, and is some kB.
const (
	thumbnailWide = 240 // pixels
	thumbnailHigh = 320
)

// thumbnail draws a small picture as PNG; empty if there is none to draw it from.
func thumbnail(m *image.Gray, path string) []byte {
	var from image.Image = m
	if m == nil {
		var err error
		if from, err = chartfile.OpenPicture(path); err != nil {
			return []byte{}
		}
	}
	size := from.Bounds().Size()
	if size.X == 0 || size.Y == 0 {
		return []byte{}
	}
	scale := min(thumbnailWide/float64(size.X), thumbnailHigh/float64(size.Y), 1)
	to := image.NewGray(image.Rect(0, 0, max(1, int(scale*float64(size.X))), max(1, int(scale*float64(size.Y)))))
	draw.BiLinear.Scale(to, to.Bounds(), from, from.Bounds(), draw.Src, nil)
	var b bytes.Buffer
	if err := png.Encode(&b, to); err != nil {
		return []byte{}
	}
	return b.Bytes()
}

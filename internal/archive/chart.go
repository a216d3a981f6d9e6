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

// Chart tells of a chart whose files are saved, in a transmission that may have ended, and gives it a number. One whose picture the
// archive has already takes the place of that, and has its number.
func (a *Archive) Chart(id ID, c Chart) (number int64) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	a.lastChart++
	c.ID, c.Transmission = a.lastChart, id
	a.putChart(&c)
	return c.ID
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
	err := w.exec(`INSERT INTO chart (id, family, transmission, title, entry, begun, ended, picture, video, picture_bytes, video_bytes, quality, info, thumbnail)
		VALUES (?1, ?1, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (id) DO NOTHING ON CONFLICT (picture) DO UPDATE SET transmission = excluded.transmission, title = excluded.title, entry = excluded.entry, begun = excluded.begun,
		ended = excluded.ended, video = excluded.video, picture_bytes = excluded.picture_bytes, video_bytes = excluded.video_bytes,
		quality = excluded.quality, info = excluded.info, thumbnail = excluded.thumbnail`,
		c.ID, c.Transmission, c.Title, c.Entry, millis(c.Info.Start), millis(c.Info.End), c.Picture, c.Video, c.PictureBytes, c.VideoBytes,
		unit(c.Info.Quality.Mean()), string(info), c.Thumbnail)
	if err != nil {
		return err
	}
	if err := w.exec("UPDATE chart SET "+listedBy+" WHERE t.id = chart.transmission AND picture = ?", c.Picture); err != nil {
		return err
	}
	if err := w.rate(c.Transmission); err != nil || c.Title == "" {
		return err
	}
	return w.exec(putAbout, c.Transmission)
}

// listedBy copies to a chart what it is listed by. Where its transmission changes, a trigger of the database does it.
const listedBy = `shown_title = iif(chart.title = '', t.title, chart.title), receiver = t.receiver, rating = t.rating, favourite = t.favourite FROM transmission t`

// meanQuality is that of the charts of transmission ?1, or NULL.
const meanQuality = "(SELECT avg(quality) FROM chart WHERE transmission = ?1 AND latest)"

// rate puts the quality of a transmission right by its charts, if it has any.
func (w *writer) rate(id ID) error {
	return w.exec("UPDATE transmission SET quality = coalesce("+meanQuality+", quality) WHERE id = ?1", id)
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

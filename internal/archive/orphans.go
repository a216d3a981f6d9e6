package archive

import (
	"context"
	"database/sql"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/modes"
	"ionoscribe/internal/partfile"
)

// dayFolder is the name of a folder of charts, or of months or years of them.
var dayFolder = regexp.MustCompile(`^\d{4}(/\d\d){0,2}$`)

// adopt makes good of the files that a run that was killed left:
//
//	files of what was deleted            are deleted
//	charts that were being saved         are saved
//	charts that no row tells of          get one, as a version of another one if they begin when that does
//	videos whose picture was not written get one
//	parts of files                       go
//
// Charts that were coming in are the station's: it knows what they are. Rows whose files are gone stay: a disk may not be
// there. Check tells of them.
func (a *Archive) adopt(ctx context.Context, w *writer) error {
	if err := a.finishDeletions(ctx, w); err != nil {
		return err
	}
	known, err := a.knownCharts(ctx, w.conn)
	if err != nil {
		return failure("read", a.path, err)
	}
	days, err := filepath.Glob(filepath.Join(a.dir, "[0-9][0-9][0-9][0-9]", "[0-9][0-9]", "[0-9][0-9]"))
	if err != nil {
		return err
	}
	for _, day := range days {
		if err := a.adoptDay(ctx, w, day, known); err != nil {
			return err
		}
	}
	return w.flush()
}

func (a *Archive) finishDeletions(ctx context.Context, w *writer) error {
	rows, err := list(ctx, w.conn, func(s *sql.Rows) (r recorded, err error) { return r, s.Scan(&r.id, &r.d.Path) }, "SELECT id, path FROM deletion WHERE NOT done")
	if err != nil {
		return failure("read", a.path, err)
	}
	for _, r := range rows {
		if err := a.removeFile(r.d.Path); err != nil {
			a.note("a file that was deleted is still there", "error", failure("delete", a.file(r.d.Path), err))
			continue
		}
		if err := w.exec("UPDATE deletion SET done = 1 WHERE id = ?", r.id); err != nil {
			return failure("write", a.path, err)
		}
	}
	return nil
}

// knownCharts are the pictures and videos of which there are rows, by their paths.
func (a *Archive) knownCharts(ctx context.Context, c *sql.Conn) (map[string]bool, error) {
	paths, err := list(ctx, c, func(s *sql.Rows) (path string, err error) { return path, s.Scan(&path) }, "SELECT picture FROM chart UNION ALL SELECT video FROM chart")
	known := make(map[string]bool, len(paths))
	for _, p := range paths {
		known[p] = true
	}
	return known, err
}

func (a *Archive) adoptDay(ctx context.Context, w *writer, day string, known map[string]bool) error {
	if left, _ := filepath.Glob(filepath.Join(day, "*"+partfile.Suffix)); len(left) > 0 {
		for _, err := range chartfile.Adopt(day, nil, func(*chartfile.Chart) string { return day }, func(chartfile.Adopted) {}) {
			a.note("a chart that was being saved when the program ended cannot be kept", "error", err)
		}
		partfile.Sweep(day)
	}
	entries, err := os.ReadDir(day)
	if err != nil {
		return failure("read", day, err)
	}
	for _, e := range entries {
		path := filepath.Join(day, e.Name())
		switch filepath.Ext(path) {
		case chartfile.VideoSuffix:
			picture := strings.TrimSuffix(path, chartfile.VideoSuffix) + chartfile.PictureSuffix
			byHand := known[a.within(path)] && !known[a.within(picture)] // the version that was as received was deleted
			if !exists(picture) && !byHand {
				if err := drawFrom(path, picture); err != nil {
					a.note("a video has no picture, and none can be drawn from it", "error", err)
					continue
				}
				if err := a.adoptChart(ctx, w, picture, known); err != nil {
					return err
				}
			}
		case chartfile.PictureSuffix:
			if err := a.adoptChart(ctx, w, path, known); err != nil {
				return err
			}
		}
	}
	return nil
}

// drawFrom draws a picture from a video.
func drawFrom(video, picture string) error {
	c, err := chartfile.OpenVideo(video)
	if err == nil {
		err = c.Redraw(chartfile.Changes{})
	}
	if err != nil {
		return err
	}
	return chartfile.WriteFile(picture, func(w io.Writer) error { return chartfile.EncodePNG(w, c.Image, c.Info) })
}

// adoptChart makes a row of a chart that has none.
func (a *Archive) adoptChart(ctx context.Context, w *writer, picture string, known map[string]bool) error {
	name := a.within(picture)
	if known[name] {
		return nil
	}
	info, err := chartfile.ReadInfo(picture)
	if err != nil {
		a.note("a picture among the charts is none of theirs", "error", err)
		return nil
	}
	known[name] = true
	video := chartfile.VideoPath(picture)
	if !exists(video) {
		video = ""
	}
	id, err := a.transmissionOf(ctx, w.conn, info)
	if err != nil {
		return failure("read", a.path, err)
	}
	if id == 0 {
		id = a.Begin(Transmission{Receiver: info.Source, Source: info.Source, Mode: chartMode(), OnAir: info.Hz != 0, Hz: info.Hz, Begun: info.Start, Ended: info.End, TimeFrom: info.TimeFrom, SNR: info.SNR, Copied: true})
		a.End(id, info.End)
	}
	if other, err := a.versionOf(ctx, w.conn, id, info); err != nil {
		return failure("read", a.path, err)
	} else if other != 0 && video == "" {
		return a.adoptVersion(ctx, w, other, picture, info)
	}
	a.note("a chart is filed that was not", "picture", name, "transmission", id)
	a.Chart(id, Chart{Title: info.Title, Picture: picture, Video: video, Info: info})
	return w.flush()
}

// versionOf is the chart of a transmission that begins when another picture of it does; 0: there is none.
func (a *Archive) versionOf(ctx context.Context, c *sql.Conn, id ID, info chartfile.Info) (chart int64, err error) {
	err = c.QueryRowContext(ctx, "SELECT id FROM chart WHERE transmission = ? AND latest AND begun = ?", id, millis(info.Start)).Scan(&chart)
	if errors.Is(err, sql.ErrNoRows) {
		err = nil
	}
	return chart, err
}

// adoptVersion makes a row of a picture that was drawn by hand just before the program was killed. What was changed is not known.
func (a *Archive) adoptVersion(ctx context.Context, w *writer, of int64, picture string, info chartfile.Info) error {
	insert, err := a.version(of, chartfile.Changes{}, Chart{Picture: picture, Info: info})
	if err != nil {
		return failure("read", picture, err)
	}
	a.note("a version of a chart is filed that was not", "picture", a.within(picture), "chart", of)
	err = transaction(ctx, w.conn, func() error {
		_, err := insert(w)
		return err
	})
	return failure("write", a.path, err)
}

// chartMode is the mode that draws charts.
func chartMode() string {
	for _, m := range modes.All {
		if m.Text == nil {
			return m.Name
		}
	}
	return ""
}

// transmissionOf is the transmission in which a chart came, by receiver and time; 0: there is none.
func (a *Archive) transmissionOf(ctx context.Context, c *sql.Conn, info chartfile.Info) (id ID, err error) {
	const about = 5 * time.Second // a transmission is found to begin by its first tone, a chart by its first line
	err = c.QueryRowContext(ctx, `SELECT id FROM transmission WHERE (receiver = ?1 OR source = ?1) AND begun <= ?2 AND ended >= ?3
		AND (?4 = 0 OR NOT on_air OR abs(hz - ?4) < 1000) ORDER BY state DESC, begun DESC LIMIT 1`,
		info.Source, millis(info.Start.Add(about)), millis(info.Start.Add(-about)), info.Hz).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		err = nil
	}
	return id, err
}

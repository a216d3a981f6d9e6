package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"time"

	"ionoscribe/internal/chartfile"
)

// Version says of a chart which of its versions it is.
type Version struct {
	Family    int64 // number of the first version
	Latest    bool
	DrawnFrom int64             // number of the version that a person drew it from; 0: it was drawn as it was received
	Changes   chartfile.Changes // in the drawing of the video, which is as the chart was received
	Made      time.Time         // when it was drawn by hand; zero: as it was received
}

// ErrOnly says that a version is the only one of its chart.
var ErrOnly = errors.New("it is the only version of the chart, which stays; retention deletes whole charts")

// Redrawn keeps a chart that a person had drawn again, from the version with a number, as its latest version, and gives it a
// number. Of c it takes the picture's path, the description and the image. It waits until that is on the disk.
func (a *Archive) Redrawn(ctx context.Context, from int64, ch chartfile.Changes, c Chart) (number int64, err error) {
	insert, err := a.version(from, ch, c)
	if err != nil {
		return 0, err
	}
	none := false
	err = a.wait(ctx, func(w *writer) (err error) {
		number, err = insert(w)
		if none = errors.Is(err, sql.ErrNoRows); none {
			return nil
		}
		return err
	})
	if none {
		err = ErrNoChart
	}
	return number, err
}

// version prepares a version of a chart, and returns what inserts it.
func (a *Archive) version(from int64, ch chartfile.Changes, c Chart) (insert func(w *writer) (int64, error), err error) {
	if c.Thumbnail == nil {
		c.Thumbnail = thumbnail(c.Image, c.Picture)
	}
	c.PictureBytes = fileSize(c.Picture)
	c.Picture = a.within(c.Picture)
	info, err := json.Marshal(c.Info)
	if err != nil {
		return nil, err
	}
	changes, err := json.Marshal(ch)
	if err != nil {
		return nil, err
	}
	a.mutex.Lock()
	defer a.mutex.Unlock()
	a.lastChart++
	number := a.lastChart
	return func(w *writer) (int64, error) {
		family, transmission, err := w.familyOf(from)
		if err != nil {
			return 0, err
		}
		err = w.exec(`INSERT INTO chart (id, drawn_from, changes, made, picture, picture_bytes, quality, info, thumbnail,
				family, latest, transmission, title, entry, begun, ended, shown_title, receiver, rating, favourite, video, video_bytes)
			SELECT ?2, id, ?, ?, ?, ?, ?, ?, ?, family, 1, transmission, title, entry, begun, ended, shown_title, receiver, rating, favourite, '', 0 FROM chart WHERE id = ?1`,
			from, number, string(changes), millis(a.now()), c.Picture, c.PictureBytes, unit(c.Info.Quality.Mean()), string(info), c.Thumbnail)
		if err != nil {
			return 0, err
		}
		return number, w.settleFamily(family, transmission)
	}, nil
}

// RemoveVersion deletes a version of a chart, with its picture. The one before becomes the latest, if it was that.
func (a *Archive) RemoveVersion(ctx context.Context, number int64) error {
	var refused error
	err := a.wait(ctx, func(w *writer) error {
		x := doomed{id: number}
		var begun, versions int64
		err := w.conn.QueryRowContext(ctx, "SELECT transmission, shown_title, begun, picture_bytes, "+versionsOf+" FROM chart WHERE id = ?", number).
			Scan(&x.d.Transmission, &x.d.Title, &begun, &x.d.Bytes, &versions)
		switch {
		case errors.Is(err, sql.ErrNoRows):
			refused = ErrNoChart
			return nil
		case err != nil:
			return err
		case versions == 1:
			refused = ErrOnly
			return nil
		}
		if _, err := w.eraseChart(&x); err != nil {
			return err
		}
		x.d.At, x.d.Begun, x.d.Kind, x.d.Reason = a.now(), fromMillis(begun), Charts, "a version of the chart was deleted by hand"
		_, err = a.putDeletions(w, x)
		return err
	})
	if err = errors.Join(refused, err); err != nil {
		return err
	}
	return a.removeFiles(ctx)
}

// versionsOf is how many versions of a chart there are.
const versionsOf = "(SELECT count(*) FROM chart other WHERE other.family = chart.family)"

func (w *writer) familyOf(chart int64) (family int64, transmission ID, err error) {
	err = w.conn.QueryRowContext(context.Background(), "SELECT family, transmission FROM chart WHERE id = ?", chart).Scan(&family, &transmission)
	return family, transmission, err
}

// settleFamily makes the newest of a family's versions the latest one, by which the transmission is rated.
func (w *writer) settleFamily(family int64, id ID) error {
	if err := w.exec("UPDATE chart SET latest = id = (SELECT max(id) FROM chart WHERE family = ?1) WHERE family = ?1", family); err != nil {
		return err
	}
	return w.rate(id)
}

// Versions gives all of the chart that a version is of, the first one first.
func (r *Reader) Versions(ctx context.Context, version int64) ([]Chart, error) {
	all, err := charts(ctx, r.db, "family = (SELECT family FROM chart WHERE id = ?) ORDER BY id", version)
	return all, r.failed(err)
}

package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// Rules say how long what is kept. Texts are of transmissions without charts; with a text goes all that is known of its
// transmission, and with a chart its video. What happened to the station, what became of the programme, alerts, and the record
// of what was deleted are kept as long as texts.
type Rules struct{ Charts, Texts, Videos Limit }

// Limit is how long, and how much of it; zero: without limit. Favourites do not count.
type Limit struct {
	Age   time.Duration
	Bytes int64
}

// keepBatch is how many things a transaction deletes at most, and keepLines how many lines: a tenth of a second, in which the
// writer writes nothing else.
const (
	keepBatch = 50
	keepLines = 2000
)

// Keep deletes, in small batches, what is too old or too much, the oldest first, and tells what it deleted. What is a
// favourite or still arrives stays. What it deletes is recorded first, so that a run that is cut short is completed by the
// next one.
func (a *Archive) Keep(ctx context.Context, r Rules) (deleted []Deletion, err error) {
	if err := a.removeFiles(ctx); err != nil {
		return nil, err
	}
	for _, k := range []struct {
		kind  Kind
		limit Limit
		query string // id, transmission, title, begun, bytes, video that goes with it; the oldest first
		total string
		erase func(w *writer, x *doomed) (whole bool, err error)
	}{
		{Videos, r.Videos, `SELECT chart.id, t.id, coalesce(nullif(chart.title, ''), t.title), chart.begun, chart.video_bytes, chart.video
			FROM chart JOIN transmission t ON t.id = chart.transmission WHERE NOT t.favourite AND t.state <> 0 AND chart.video <> '' AND chart.begun < ? ORDER BY chart.begun, chart.id LIMIT ?`,
			"SELECT coalesce(sum(video_bytes), 0) FROM chart WHERE transmission NOT IN (SELECT id FROM transmission WHERE favourite)", (*writer).eraseVideo},
		{Charts, r.Charts, `SELECT chart.id, t.id, coalesce(nullif(chart.title, ''), t.title), chart.begun, chart.picture_bytes, ''
			FROM chart JOIN transmission t ON t.id = chart.transmission WHERE NOT t.favourite AND t.state <> 0 AND chart.begun < ? ORDER BY chart.begun, chart.id LIMIT ?`,
			"SELECT coalesce(sum(picture_bytes), 0) FROM chart WHERE transmission NOT IN (SELECT id FROM transmission WHERE favourite)", (*writer).eraseChart},
		{Texts, r.Texts, `SELECT t.id, t.id, t.title, t.begun, t.text_bytes, ''
			FROM transmission t WHERE NOT t.favourite AND t.state <> 0 AND t.begun < ? AND NOT EXISTS (SELECT 1 FROM chart WHERE transmission = t.id) ORDER BY t.begun, t.id LIMIT ?`,
			"SELECT coalesce(sum(text_bytes), 0) FROM transmission WHERE NOT favourite", (*writer).eraseText},
	} {
		if k.limit.Age > 0 {
			before := millis(a.now().Add(-k.limit.Age))
			some, err := a.erase(ctx, k.kind, k.query, before, func(int64) bool { return true }, "it was older than "+inWordsOf(k.limit.Age), k.erase)
			if deleted = append(deleted, some...); err != nil {
				return deleted, err
			}
		}
		if k.limit.Bytes > 0 {
			var total int64
			if err := a.db.QueryRowContext(ctx, k.total).Scan(&total); err != nil {
				return deleted, a.failed(err)
			}
			over := total - k.limit.Bytes
			some, err := a.erase(ctx, k.kind, k.query, forever, func(bytes int64) bool {
				more := over > 0
				over -= bytes
				return more
			}, fmt.Sprintf("%s took more than %s", k.kind, inBytes(k.limit.Bytes)), k.erase)
			if deleted = append(deleted, some...); err != nil {
				return deleted, err
			}
		}
	}
	return deleted, a.forget(ctx, r.Texts.Age)
}

// forever is a time in milliseconds after all others.
const forever = 1 << 62

// doomed is what is to be deleted.
type doomed struct {
	id    int64
	d     Deletion
	files []string
}

// erase deletes what a query gives as long as more says so, and then its files.
func (a *Archive) erase(ctx context.Context, kind Kind, query string, before int64, more func(bytes int64) bool, reason string, erase func(*writer, *doomed) (bool, error)) (all []Deletion, err error) {
	allowed := int64(0) // what more was asked of, and is not deleted yet
	for goOn := true; goOn; {
		var batch []Deletion
		err := a.wait(ctx, func(w *writer) error {
			found, err := list(ctx, w.conn, scanDoomed, query, before, keepBatch)
			if err != nil {
				return err
			}
			goOn = len(found) == keepBatch
			for i := range found {
				x := &found[i]
				if x.id != allowed && !more(x.d.Bytes) {
					goOn = false
					return nil
				}
				allowed = x.id
				whole, err := erase(w, x)
				if err != nil {
					return err
				}
				if !whole { // the rest of it comes with the next batch
					goOn = true
					return nil
				}
				x.d.At, x.d.Kind, x.d.Reason = a.now(), kind, reason
				some, err := a.putDeletions(w, *x)
				if err != nil {
					return err
				}
				batch = append(batch, some...)
			}
			return nil
		})
		if err != nil {
			return all, err
		}
		all = append(all, batch...)
		if err := a.removeFiles(ctx); err != nil {
			return all, err
		}
	}
	return all, nil
}

func scanDoomed(s *sql.Rows) (x doomed, err error) {
	var begun int64
	var video string
	err = s.Scan(&x.id, &x.d.Transmission, &x.d.Title, &begun, &x.d.Bytes, &video)
	x.d.Begun = fromMillis(begun)
	if video != "" {
		x.files = []string{video}
	}
	return x, err
}

// recorded is a deletion with its number.
type recorded struct {
	id int64
	d  Deletion
}

// record numbers the deletions of a thing's files, or of a thing without any.
func (a *Archive) record(x doomed) (all []recorded) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	if len(x.files) == 0 {
		x.files = []string{""}
	}
	for _, f := range x.files {
		a.lastDeletion++
		d := x.d
		if d.Path = f; f != "" {
			d.Bytes = fileSize(a.file(f))
		}
		all = append(all, recorded{a.lastDeletion, d})
	}
	return all
}

// putDeletions records what is deleted, each file of it, or it alone.
func (a *Archive) putDeletions(w *writer, x doomed) (all []Deletion, err error) {
	for _, r := range a.record(x) {
		if err := w.putDeletion(r.id, r.d, r.d.Path == ""); err != nil {
			return nil, err
		}
		all = append(all, r.d)
	}
	return all, nil
}

func (w *writer) eraseVideo(x *doomed) (bool, error) {
	return true, w.exec("UPDATE chart SET video = '', video_bytes = 0 WHERE id = ?", x.id)
}

// eraseChart deletes a version of a chart, and with the last one all of it.
func (w *writer) eraseChart(x *doomed) (bool, error) {
	var picture, video string
	var family, heir, left, characters int64
	err := w.conn.QueryRowContext(context.Background(), `SELECT picture, video, family, coalesce((SELECT max(id) FROM chart c WHERE c.family = chart.family AND c.id <> chart.id), 0),
		(SELECT count(*) FROM chart c WHERE c.transmission = chart.transmission), coalesce((SELECT characters FROM transmission t WHERE t.id = chart.transmission), 0)
		FROM chart WHERE id = ?`, x.id).Scan(&picture, &video, &family, &heir, &left, &characters)
	if err != nil {
		return false, err
	}
	if video != "" && heir != 0 {
		if err := w.exec("UPDATE chart SET (video, video_bytes) = (SELECT video, video_bytes FROM chart WHERE id = ?) WHERE id = ?", x.id, heir); err != nil {
			return false, err
		}
		video = ""
	}
	if video != "" {
		x.files = append(x.files, video)
	}
	x.files = append(x.files, picture)
	if err := w.exec("DELETE FROM chart WHERE id = ?", x.id); err != nil {
		return false, err
	}
	if heir != 0 {
		return true, w.settleFamily(family, x.d.Transmission)
	}
	if left > 1 || characters > 0 {
		return true, w.exec(putAbout, x.d.Transmission)
	}
	_, err = w.eraseText(x) // of which nothing else is left
	return true, err
}

// eraseText deletes a transmission that has no chart, or as many of its lines as a transaction may.
func (w *writer) eraseText(x *doomed) (whole bool, err error) {
	ctx, id := context.Background(), int64(x.d.Transmission)
	from, to := lineID(ID(id), 0), lineID(ID(id)+1, 0)
	found, err := ids(w.conn.QueryContext(ctx, "SELECT id FROM line WHERE id >= ? AND id < ? ORDER BY id LIMIT ?", from, to, keepLines))
	if err != nil {
		return false, err
	}
	last := int64(-1)
	for _, n := range found {
		if err := w.exec("DELETE FROM line WHERE id = ?", n); err != nil {
			return false, err
		}
		if document := documentID(ID(id), int(n&(mostLines-1))/sectionLines); document != last {
			if err := w.exec("DELETE FROM word_index WHERE rowid = ?", document); err != nil {
				return false, err
			}
			last = document
		}
	}
	if len(found) == keepLines {
		return false, w.exec("UPDATE transmission SET lines = (SELECT count(*) FROM line WHERE id >= ?2 AND id < ?3) WHERE id = ?1", id, from, to)
	}
	for _, q := range []string{"DELETE FROM level WHERE transmission = ?", "DELETE FROM about_index WHERE rowid = ?", "DELETE FROM transmission WHERE id = ?"} {
		if err := w.exec(q, id); err != nil {
			return false, err
		}
	}
	return true, nil
}

// removeFiles removes the files of what was deleted, and gives room in the database back.
func (a *Archive) removeFiles(ctx context.Context) error {
	type file struct {
		id   int64
		path string
	}
	files, err := list(ctx, a.db, func(s *sql.Rows) (f file, err error) { return f, s.Scan(&f.id, &f.path) }, "SELECT id, path FROM deletion WHERE NOT done")
	if err != nil {
		return a.failed(err)
	}
	if len(files) == 0 {
		return nil
	}
	var failed error
	gone := files[:0]
	for _, f := range files {
		if err := a.removeFile(f.path); err != nil {
			failed = failure("delete", a.file(f.path), err)
			continue
		}
		gone = append(gone, f)
	}
	err = a.wait(ctx, func(w *writer) error {
		for _, f := range gone {
			if err := w.exec("UPDATE deletion SET done = 1 WHERE id = ?", f.id); err != nil {
				return err
			}
		}
		_, err := w.conn.ExecContext(ctx, "PRAGMA incremental_vacuum(256)") // pages, so that it is short
		return err
	})
	return errors.Join(err, failed)
}

// removeFile removes a file, and its folders of day, month and year if they are empty then.
func (a *Archive) removeFile(path string) error {
	full := a.file(path)
	if err := os.Remove(full); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	for dir := filepath.Dir(full); dayFolder.MatchString(a.within(dir)); dir = filepath.Dir(dir) {
		if os.Remove(dir) != nil {
			break
		}
	}
	return nil
}

// forget deletes what is older than texts may be and has no files.
func (a *Archive) forget(ctx context.Context, age time.Duration) error {
	if age <= 0 {
		return nil
	}
	before := millis(a.now().Add(-age))
	for _, q := range []string{
		"DELETE FROM incident WHERE id IN (SELECT id FROM incident WHERE at < ? LIMIT ?)",
		"DELETE FROM expected WHERE rowid IN (SELECT rowid FROM expected WHERE at < ? LIMIT ?)",
		"DELETE FROM delivery WHERE id IN (SELECT delivery.id FROM delivery JOIN alert ON alert.id = alert WHERE made < ? AND state <> 'pending' LIMIT ?)",
		"DELETE FROM alert WHERE id IN (SELECT id FROM alert WHERE made < ? AND NOT EXISTS (SELECT 1 FROM delivery WHERE alert = alert.id) LIMIT ?)",
		"DELETE FROM deletion WHERE id IN (SELECT id FROM deletion WHERE at < ? AND done AND id <> (SELECT id FROM deletion ORDER BY transmission DESC, id DESC LIMIT 1) LIMIT ?)",
	} {
		for {
			var n int64
			err := a.wait(ctx, func(w *writer) error {
				done, err := w.conn.ExecContext(ctx, q, before, keepLines)
				if err == nil {
					n, err = done.RowsAffected()
				}
				return err
			})
			if err != nil {
				return err
			}
			if n < keepLines {
				break
			}
		}
	}
	return nil
}

// inWordsOf is a time in days or hours.
func inWordsOf(d time.Duration) string {
	const day = 24 * time.Hour
	switch {
	case d == day:
		return "a day"
	case d%day == 0:
		return fmt.Sprintf("%d days", d/day)
	}
	return d.String()
}

// inBytes is a number of bytes in words.
func inBytes(n int64) string {
	switch {
	case n >= 1e9:
		return fmt.Sprintf("%.3g GB", float64(n)/1e9)
	case n >= 1e6:
		return fmt.Sprintf("%.3g MB", float64(n)/1e6)
	case n >= 1e3:
		return fmt.Sprintf("%.3g kB", float64(n)/1e3)
	}
	return fmt.Sprintf("%d bytes", n)
}

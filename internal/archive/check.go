package archive

import (
	"context"
	"database/sql"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/partfile"
)

// Problem is something wrong in an archive.
type Problem struct {
	What string `json:"problem"`                // a sentence
	Path string `json:"path,omitempty"`         // of a file, from the station's folder, or ""
	ID   ID     `json:"transmission,omitempty"` // or 0
	Mend string `json:"mend,omitempty"`
}

func (p Problem) String() string {
	s := p.What
	if p.ID != 0 {
		s = fmt.Sprintf("transmission %d: %s", p.ID, s)
	}
	if p.Path != "" {
		s = p.Path + ": " + s
	}
	if p.Mend != "" {
		s += "; " + p.Mend
	}
	return s
}

// settling is how old a file must be before it is missed in the database: a station may be about to tell of it.
var settling = 10 * time.Second

const (
	mendRestart = "start the station anew: it puts that right"
	mendBackup  = "copy it from a backup"
)

// Check reads database and files and tells what is wrong with them. It reads all of both, which takes a while.
func (r *Reader) Check(ctx context.Context) (all []Problem, err error) {
	// A connection that has searched before checks an index by what it remembers of it, and finds fault with what is right.
	db, err := openForReading(r.path, r.mode)
	if err != nil {
		return nil, r.failed(err)
	}
	defer db.Close()
	fresh := &Reader{dir: r.dir, path: r.path, db: db}
	err = fresh.moment(ctx, func(c *sql.Conn) error {
		for _, f := range []func(context.Context, *sql.Conn, func(Problem)) error{r.checkPages, r.checkRows, r.checkLines, r.checkIndex, r.checkFiles, r.checkDeleted} {
			if err := f(ctx, c, func(p Problem) { all = append(all, p) }); err != nil {
				return err
			}
		}
		return nil
	})
	return all, r.failed(err)
}

// checkPages has SQLite check the database, which is right as far as SQLite knows when it says ok.
func (r *Reader) checkPages(ctx context.Context, c *sql.Conn, tell func(Problem)) error {
	found, err := list(ctx, c, func(s *sql.Rows) (text string, err error) { return text, s.Scan(&text) }, "PRAGMA integrity_check")
	for _, text := range found {
		if text != "ok" {
			tell(Problem{What: "the database is damaged (" + text + ")", Path: Name, Mend: mendBackup})
		}
	}
	return err
}

// checkRows looks for rows that belong to nothing.
func (r *Reader) checkRows(ctx context.Context, c *sql.Conn, tell func(Problem)) error {
	for _, q := range []struct{ what, query string }{
		{"there are lines of it, but nothing else", fmt.Sprintf("SELECT DISTINCT id >> %d FROM line WHERE id >> %d NOT IN (SELECT id FROM transmission)", lineBits, lineBits)},
		{"there are levels of it, but nothing else", "SELECT DISTINCT transmission FROM level WHERE transmission NOT IN (SELECT id FROM transmission)"},
		{"there are charts of it, but nothing else", "SELECT DISTINCT transmission FROM chart WHERE transmission NOT IN (SELECT id FROM transmission)"},
		{"a chart of it has no latest version, or more than one", "SELECT transmission FROM chart GROUP BY family HAVING sum(latest) <> 1"},
		{"deliveries are of no alert", "SELECT DISTINCT 0 FROM delivery WHERE alert NOT IN (SELECT id FROM alert)"},
	} {
		found, err := ids(c.QueryContext(ctx, q.query))
		if err != nil {
			return err
		}
		for _, id := range found {
			tell(Problem{What: q.what, ID: ID(id)})
		}
	}
	return nil
}

// checkLines compares lines with what is told of their transmission, and looks into each.
func (r *Reader) checkLines(ctx context.Context, c *sql.Conn, tell func(Problem)) error {
	found, err := ids(c.QueryContext(ctx, fmt.Sprintf("SELECT id FROM transmission t WHERE lines <> (SELECT count(*) FROM line WHERE line.id >= t.id << %d AND line.id < (t.id + 1) << %d)", lineBits, lineBits)))
	if err != nil {
		return err
	}
	for _, id := range found {
		tell(Problem{What: "it has more or fewer lines than are told of", ID: ID(id)})
	}
	rows, err := c.QueryContext(ctx, "SELECT id, begun, text, chars FROM line")
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var id, begun int64
		var text string
		var chars []byte
		if err := rows.Scan(&id, &begun, &text, &chars); err != nil {
			return err
		}
		if _, err := unpackChars(fromMillis(begun), text, chars); err != nil {
			tell(Problem{What: fmt.Sprintf("line %d: %v", id&(mostLines-1), err), ID: ID(id >> lineBits)})
		}
	}
	return rows.Err()
}

// checkIndex compares the index with the lines.
func (r *Reader) checkIndex(ctx context.Context, c *sql.Conn, tell func(Problem)) error {
	shift := lineBits - sectionBits
	for _, q := range []struct{ what, query string }{
		{"some of its text cannot be searched", fmt.Sprintf(`SELECT DISTINCT line.id >> %d FROM line JOIN transmission t ON t.id = line.id >> %d
			WHERE t.state <> 0 AND line.id >> %d NOT IN (SELECT id FROM word_index_docsize)`, lineBits, lineBits, shift)},
		{"it can be searched, but is not there", fmt.Sprintf("SELECT DISTINCT id >> %d FROM word_index_docsize WHERE id >> %d NOT IN (SELECT id FROM transmission)", sectionBits, sectionBits)},
		{"its title can be searched, but it is not there", "SELECT id FROM about_index_docsize WHERE id NOT IN (SELECT id FROM transmission)"},
		{"its title or notes cannot be searched", "SELECT id FROM transmission WHERE title || notes <> '' AND id NOT IN (SELECT id FROM about_index_docsize)"},
	} {
		found, err := ids(c.QueryContext(ctx, q.query))
		if err != nil {
			return err
		}
		for _, id := range found {
			tell(Problem{What: q.what, ID: ID(id)})
		}
	}
	return nil
}

// checkFiles compares charts with their files.
func (r *Reader) checkFiles(ctx context.Context, c *sql.Conn, tell func(Problem)) error {
	known := map[string]bool{}
	rows, err := c.QueryContext(ctx, "SELECT transmission, picture, video, picture_bytes, video_bytes FROM chart")
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var id ID
		var path [2]string
		var size [2]int64
		if err := rows.Scan(&id, &path[0], &path[1], &size[0], &size[1]); err != nil {
			return err
		}
		for i, name := range path {
			if name == "" {
				continue
			}
			known[name] = true
			switch fi, err := os.Stat(r.file(name)); {
			case err != nil:
				tell(Problem{What: "a chart's file is not there", Path: name, ID: id, Mend: mendBackup})
			case fi.Size() != size[i] && size[i] != 0:
				tell(Problem{What: fmt.Sprintf("the file has %d bytes instead of %d", fi.Size(), size[i]), Path: name, ID: id, Mend: mendBackup})
			}
		}
	}
	if err := rows.Err(); err != nil {
		return err
	}
	deleted, err := list(ctx, c, func(s *sql.Rows) (path string, err error) { return path, s.Scan(&path) }, "SELECT path FROM deletion WHERE NOT done")
	if err != nil {
		return err
	}
	for _, name := range deleted {
		known[name] = true // see checkDeleted
	}
	return filepath.WalkDir(r.dir, func(path string, e fs.DirEntry, err error) error {
		name := r.within(path)
		if err != nil {
			tell(Problem{What: "it cannot be read", Path: name, Mend: "change its permissions"})
			return nil
		}
		if e.IsDir() {
			if path != r.dir && !dayFolder.MatchString(name) {
				return fs.SkipDir // sound has its own
			}
			return ctx.Err()
		}
		fi, err := e.Info()
		if err != nil || known[name] || time.Since(fi.ModTime()) < settling || filepath.Dir(path) == r.dir && !strings.HasSuffix(name, partfile.Suffix) {
			return nil
		}
		switch filepath.Ext(name) {
		case chartfile.PictureSuffix:
			tell(Problem{What: "no chart of the archive has this picture", Path: name, Mend: mendRestart})
		case chartfile.VideoSuffix:
			tell(Problem{What: "no chart of the archive has this video", Path: name, Mend: mendRestart})
		case partfile.Suffix:
			if f := partfile.Orphan(path); f != nil { // nobody is writing it
				f.Close()
				tell(Problem{What: "a file was never completed", Path: name, Mend: mendRestart})
			}
		}
		return nil
	})
}

// checkDeleted looks for files that were deleted and are still there.
func (r *Reader) checkDeleted(ctx context.Context, c *sql.Conn, tell func(Problem)) error {
	found, err := list(ctx, c, func(s *sql.Rows) (path string, err error) { return path, s.Scan(&path) },
		"SELECT path FROM deletion WHERE NOT done AND at < ?", millis(time.Now().Add(-settling)))
	for _, name := range found {
		if exists(r.file(name)) {
			tell(Problem{What: "it was deleted, but the file is still there", Path: name, Mend: "delete it"})
		}
	}
	return err
}

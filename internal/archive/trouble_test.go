package archive

import (
	"context"
	"database/sql"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// While another program has locked the database, what is heard is kept in memory, and written when it can be.
func TestLocked(t *testing.T) {
	dir := t.TempDir()
	a := open(t, dir)
	flush(t, a)
	other, err := sql.Open("sqlite", filepath.Join(dir, Name))
	must(t, err)
	defer other.Close()
	c, err := other.Conn(context.Background())
	must(t, err)
	_, err = c.ExecContext(context.Background(), "BEGIN IMMEDIATE")
	must(t, err)
	id := hear(a, "north", "rtty", noon, "GALE WARNING")
	err = a.Flush(context.Background())
	if err == nil || !strings.Contains(err.Error(), Name+": another program has locked it; end that program") {
		t.Error(err)
	}
	if s := a.Stats(); s.Trouble == nil || s.PendingRows < 3 || s.LostRows > 0 {
		t.Errorf("%+v", s)
	}
	if _, err := a.Search(context.Background(), Query{Words: "gale"}); err != nil {
		t.Error(err)
	}
	_, err = c.ExecContext(context.Background(), "ROLLBACK")
	must(t, err)
	flush(t, a)
	if got := texts(t, &a.Reader, id); got != "GALE WARNING" {
		t.Errorf("%q", got)
	}
	if s := a.Stats(); s.Trouble != nil || s.PendingRows > 0 {
		t.Errorf("%+v", s)
	}
}

// The same with a disk that is full, and one that cannot be written to.
func TestFull(t *testing.T) {
	for pragma, says := range map[string]string{"max_page_count = 1": "the disk is full; free some space", "query_only = 1": "it cannot be written to; change its permissions"} {
		var mutex sync.Mutex
		var noted strings.Builder
		a, err := Open(t.TempDir(), Options{Note: func(line string, more ...any) {
			mutex.Lock()
			defer mutex.Unlock()
			fmt.Fprintln(&noted, append([]any{line}, more...)...)
		}})
		must(t, err)
		defer a.Close()
		must(t, a.waitFor(job{ctx: context.Background(), bare: true, f: func(w *writer) error {
			_, err := w.conn.ExecContext(context.Background(), "PRAGMA "+pragma)
			return err
		}}))
		var all []ID
		text := strings.TrimSpace(strings.Repeat("GALE WARNING OSTREL SEA\n", 100))
		for i := range 50 {
			all = append(all, hear(a, "north", "rtty", noon.Add(time.Duration(i)*time.Hour), text))
		}
		a.Flush(context.Background()) // fails, if the writer has not by itself
		flush(t, a)                   // with a new connection
		mutex.Lock()
		if lines := strings.Split(noted.String(), "\n"); len(lines) != 3 || !strings.Contains(lines[0], says) || !strings.Contains(lines[1], "can be written again rows_lost 0") {
			t.Errorf("%s: %q", pragma, lines)
		}
		mutex.Unlock()
		for _, id := range all {
			if got := texts(t, &a.Reader, id); got != text {
				t.Fatalf("%s: %q", pragma, got)
			}
		}
		if s := a.Stats(); s.Trouble != nil || s.PendingRows > 0 || s.LostRows > 0 {
			t.Errorf("%+v", s)
		}
		consistent(t, &a.Reader)
	}
}

func TestNoFolder(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	must(t, os.WriteFile(file, nil, 0o666))
	_, err := Open(filepath.Join(file, "station"), Options{})
	if err == nil || !strings.Contains(err.Error(), "not a directory") {
		t.Error(err)
	}
	if _, err := OpenReader(t.TempDir()); err == nil || !strings.Contains(err.Error(), "it is not there; name the folder of a station") {
		t.Error(err)
	}
}

// A folder that cannot be written to is named, with the mend; what is told of a file or the database is one line.
func TestFailure(t *testing.T) {
	for _, c := range []struct {
		err  error
		says string
	}{
		{&fs.PathError{Op: "open", Path: "x/archive.lock", Err: syscall.EROFS}, "open x/archive.lock: read-only file system; choose a folder that you may write to"},
		{&fs.PathError{Op: "mkdir", Path: "x", Err: syscall.EACCES}, "permission denied; choose a folder that you may write to"},
		{&fs.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC}, "no space left on device; free some space"},
	} {
		if got := failure("open", "x/archive.lock", c.err).Error(); !strings.HasSuffix(got, c.says) || strings.Contains(got, "\n") {
			t.Errorf("%q", got)
		}
	}
}

func TestTwice(t *testing.T) {
	dir := t.TempDir()
	a := open(t, dir)
	if _, err := Open(dir, Options{}); err == nil || !strings.Contains(err.Error(), "another program keeps this archive already") {
		t.Error(err)
	}
	must(t, a.Close())
	must(t, a.Close())
	if err := a.Flush(context.Background()); err != errClosed {
		t.Error(err)
	}
	must(t, open(t, dir).Close())
}

// What is pending is bounded; the oldest text goes first, and transmissions stay.
func TestPendingBound(t *testing.T) {
	var p pending
	for i := range int64(1000) {
		p.put(row{key: key{table: tableTransmission, a: i}, bytes: 100})
		p.put(row{key: key{table: tableLine, a: i}, bytes: 200_000})
	}
	if p.bytes > mostPendingBytes || p.lost == 0 || len(p.order) != len(p.rows) {
		t.Errorf("%d bytes, %d lost", p.bytes, p.lost)
	}
	var bytes int64
	transmissions, lowest := 0, int64(1000)
	for k, r := range p.rows {
		bytes += int64(r.bytes)
		if k.table == tableTransmission {
			transmissions++
		} else {
			lowest = min(lowest, k.a)
		}
	}
	if bytes != p.bytes || transmissions != 1000 || lowest != p.lost {
		t.Errorf("%d bytes of %d, %d transmissions, lines from %d on, %d lost", bytes, p.bytes, transmissions, lowest, p.lost)
	}
	// What comes back has no place where there is something newer.
	rows := p.take(10)
	p.put(row{key: rows[1].key, bytes: 7})
	before := len(p.order)
	p.giveBack(rows)
	if len(p.order) != before+9 || p.order[0] != rows[0].key || p.rows[rows[1].key].bytes != 7+rowBytes {
		t.Errorf("%v", p.order[:3])
	}
}

// All at the same time, for the race detector: what is told, searched, noted, deleted, copied, and given up in the middle.
func TestConcurrent(t *testing.T) {
	dir := t.TempDir()
	a := open(t, dir)
	ctx, stop := context.WithCancel(context.Background())
	var all sync.WaitGroup
	start := func(n int, f func(r *rand.Rand) error) {
		for i := range n {
			all.Go(func() {
				r := rand.New(rand.NewPCG(uint64(i), uint64(n)))
				for ctx.Err() == nil {
					if err := f(r); err != nil && ctx.Err() == nil {
						t.Error(err)
						return
					}
					time.Sleep(5 * time.Millisecond)
				}
			})
		}
	}
	start(2, func(r *rand.Rand) error {
		if a.Stats().PendingRows > 500 { // the race detector is slow
			return nil
		}
		id := hear(a, "north", "rtty", noon, "GALE WARNING\nOSTREL ⌊Z⌋EA\n")
		a.Change(id, func(t *Transmission) { t.Title = "none" })
		id = a.Begin(Transmission{Begun: noon})
		tell(a, id, noon, "ARRIVING")
		a.Change(id, func(t *Transmission) { t.Title = "Bulletin" })
		a.Incident(Incident{At: noon})
		a.End(id, noon)
		return nil
	})
	start(2, func(r *rand.Rand) error {
		_, err := a.Search(ctx, Query{Words: "~gale bulletin", Limit: 10})
		return err
	})
	start(4, func(r *rand.Rand) error { // impatient readers
		soon, cancel := context.WithTimeout(ctx, time.Duration(r.IntN(2000))*time.Microsecond)
		defer cancel()
		a.Search(soon, Query{Words: "ostrel -~gale", Limit: 1000})
		a.Transmission(soon, ID(1+r.IntN(100)))
		return nil
	})
	start(1, func(r *rand.Rand) error {
		text := "noted"
		err := a.Note(ctx, ID(1+r.IntN(10)), Note{Notes: &text})
		if err == ErrNone {
			err = nil
		}
		return err
	})
	start(1, func(r *rand.Rand) error {
		_, err := a.Keep(ctx, Rules{Texts: Limit{Bytes: 50_000}})
		return err
	})
	backups := t.TempDir()
	n := 0
	start(1, func(r *rand.Rand) error {
		n++
		return a.Backup(ctx, filepath.Join(backups, fmt.Sprint(n%3)))
	})
	start(1, func(r *rand.Rand) error { a.Stats(); return nil })
	for a.Stats().Commits < 10 {
		time.Sleep(10 * time.Millisecond)
	}
	stop()
	all.Wait()
	flush(t, a)
	consistent(t, &a.Reader)
}

// Readers that give up do not keep others from reading or writing.
func TestCancelled(t *testing.T) {
	a := open(t, t.TempDir())
	for i := range 100 {
		hear(a, "north", "rtty", noon.Add(time.Duration(i)*time.Minute), strings.Repeat("GALE WARNING OSTREL SEA\n", 10))
	}
	flush(t, a)
	r := rand.New(rand.NewPCG(1, 1))
	cut := 0
	for range 100 {
		ctx, cancel := context.WithTimeout(context.Background(), time.Duration(r.IntN(8000))*time.Microsecond)
		if _, err := a.Search(ctx, Query{Words: "~gale ~warning", Limit: 100}); err != nil {
			if ctx.Err() == nil {
				t.Error(err)
			}
			cut++
		}
		cancel()
	}
	t.Logf("%d of 100 were given up", cut)
	for range 3 * readers {
		if got := finds(t, &a.Reader, Query{Words: "gale", Limit: 1000}); len(got) != 100 {
			t.Fatalf("%d", len(got))
		}
	}
	if n := a.db.Stats().InUse; n != 0 {
		t.Errorf("%d connections are still in use", n)
	}
	id := hear(a, "north", "rtty", noon, "AFTERWARDS")
	flush(t, a)
	if got := texts(t, &a.Reader, id); got != "AFTERWARDS" {
		t.Error(got)
	}
	consistent(t, &a.Reader)
}

func TestBackup(t *testing.T) {
	dir, other := t.TempDir(), t.TempDir()
	a := open(t, dir)
	sample(t, a)
	id := hearChart(t, a, "south", "Surface analysis", noon)
	flush(t, a)
	arriving := a.Begin(Transmission{Mode: "rtty", Begun: noon})
	tell(a, arriving, noon, "STILL ARRIVING")
	flush(t, a)
	file := filepath.Join(t.TempDir(), "backup.db")
	for range 2 { // the second takes the place of the first
		must(t, a.Backup(context.Background(), file))
	}
	if err := a.Backup(context.Background(), filepath.Join(dir, Name)); err == nil || !strings.Contains(err.Error(), "the database itself") {
		t.Error(err)
	}
	hear(a, "north", "rtty", noon, "LATER")
	flush(t, a)
	// It is restored by copying.
	b, err := os.ReadFile(file)
	must(t, err)
	must(t, os.WriteFile(filepath.Join(other, Name), b, 0o666))
	must(t, os.CopyFS(filepath.Join(other, "2031"), os.DirFS(filepath.Join(dir, "2031"))))
	c := open(t, other)
	if got := texts(t, &c.Reader, arriving); got != "STILL ARRIVING" {
		t.Error(got)
	}
	if got := finds(t, &c.Reader, Query{Words: "gale"}); len(got) != 1 {
		t.Error(got)
	}
	if r, err := c.Transmission(context.Background(), id); err != nil || !exists(c.file(r.Charts[0].Picture)) || len(r.Charts[0].Thumbnail) == 0 {
		t.Error(err)
	}
	if got := finds(t, &c.Reader, Query{Words: "later"}); len(got) != 0 {
		t.Error(got)
	}
}

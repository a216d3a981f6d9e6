package archive

import (
	_ "modernc.org/sqlite" // the driver

	"context"
	"errors"
	"path/filepath"
	"time"

	"ionoscribe/internal/alerts"
)

// Name is that of the database in a station's folder.
const Name = "archive.db"

// Options of an archive. The zero value will do.
type Options struct {
	Now  func() time.Time     // nil: time.Now
	Note func(string, ...any) // tells of trouble and of what was mended, such as slog.Warn; nil: nobody
	_    struct{}
}

// Archive is one that is written to. Its methods may be called from any goroutine.
type Archive struct {
	Reader
}

var errNotMade = errors.New("archive: not made yet")

// Open opens the archive of a station's folder, which it makes if there is none, brings its schema up to date, and adopts or
// removes what an earlier run left that was killed. Every error is one line for the user.
func Open(dir string, o Options) (*Archive, error) { return nil, errNotMade }

// Close writes what is pending, as far as that is possible, and closes the archive.
func (a *Archive) Close() error { return errNotMade }

// Flush writes what is pending now, and tells why if it is not written.
func (a *Archive) Flush(ctx context.Context) error { return errNotMade }

// Folder is where the files of a chart that begins at a time belong.
func (a *Archive) Folder(begun time.Time) string {
	return filepath.Join(a.dir, begun.UTC().Format("2006/01/02"))
}

// The methods that tell of what is heard. They never wait.

// Begin tells of a new transmission, and gives it a number.
func (a *Archive) Begin(t Transmission) ID { return 0 }

// Change changes what is known of a transmission that has not ended; change is called at once.
func (a *Archive) Change(id ID, change func(*Transmission)) {}

// Text adds a character. A line ends with "\n", after a pause, or at a gap between words when it is long.
func (a *Archive) Text(id ID, c Char) {}

// SNR tells of the strength of a transmission; of those in the same ten seconds the last one is kept.
func (a *Archive) SNR(id ID, at time.Time, dB float64) {}

// Chart tells of a chart whose files are saved, in a transmission that may have ended.
func (a *Archive) Chart(id ID, c Chart) {}

// End tells that nothing more comes of a transmission but charts that are being drawn or saved.
func (a *Archive) End(id ID, at time.Time) {}

// Incident tells of what is no transmission.
func (a *Archive) Incident(i Incident) {}

// Expect tells of an occurrence of a programme entry, or of what became of it.
func (a *Archive) Expect(e Expected) {}

// Deleted records the deletion of something that the archive does not keep itself, such as sound.
func (a *Archive) Deleted(d Deletion) {}

// The methods that wait until it is on the disk.

// Note keeps what a person says of a transmission.
func (a *Archive) Note(ctx context.Context, id ID, n Note) error { return errNotMade }

// Outbox is the store of alerts.
func (a *Archive) Outbox() alerts.Store { return nil }

// Rules say how long what is kept.
type Rules struct{ Charts, Texts, Videos Limit }

// Limit is how long, and how much of it; zero: without limit.
type Limit struct {
	Age   time.Duration
	Bytes int64
}

// Keep deletes, in small batches, what is too old or too much, the oldest first, and tells what it deleted. What is a
// favourite or still arrives stays.
func (a *Archive) Keep(ctx context.Context, r Rules) ([]Deletion, error) { return nil, errNotMade }

// Stats are what health and metrics tell.
type Stats struct {
	PendingRows  int
	PendingBytes int64
	LostRows     int64 // given up since Open, as too much was pending
	Commits      int64
	Rows         int64     // committed since Open
	Committed    time.Time // when it was, last, by the system's clock
	Trouble      error     // why nothing can be written; nil: it can
	Bytes        int64     // of the database and its log
}

// Stats are those of now.
func (a *Archive) Stats() Stats { return Stats{} }

package archive

import (
	"context"
	"io"
	"time"
)

// Reader reads an archive, also one that a station writes to.
type Reader struct {
	dir string
}

// OpenReader opens the archive of a station's folder for reading. Every error is one line for the user.
func OpenReader(dir string) (*Reader, error) { return nil, errNotMade }

// Close closes it.
func (r *Reader) Close() error { return errNotMade }

// Query says what is searched for. Zero fields do not matter.
type Query struct {
	// Words are in the small language of ParseWords.
	Words         string
	Title         string    // words in the title alone, in the same language
	Mode          []string  // any of these
	Receiver      []string  // any of these
	LowHz, HighHz float64   // the transmission is between, or overlaps
	From, To      time.Time // it was heard in this time
	LeastQuality  float64   // 0 to 1
	LeastRating   int
	Favourites    bool // these alone
	Before        ID   // older ones: for the next page
	Limit         int  // of hits; 0: 50
}

// Hit is a transmission that was found.
type Hit struct {
	Transmission
	Found []Line // lines in which words were found, the first ones
	Chart int64  // its latest chart, or 0
}

// Search finds transmissions, the newest first.
func (r *Reader) Search(ctx context.Context, q Query) ([]Hit, error) { return nil, errNotMade }

// Transmission gives one, with its lines, charts and levels.
func (r *Reader) Transmission(ctx context.Context, id ID) (*Record, error) { return nil, errNotMade }

// Record is all of a transmission.
type Record struct {
	Transmission
	Text   []Line
	Charts []Chart
	Levels []Level
}

// ErrNone says that there is no such transmission.
var ErrNone = errNone{}

type errNone struct{}

func (errNone) Error() string {
	return "there is no such transmission in the archive; it may have been deleted"
}

// Expected gives the occurrences that were due in a time, in order.
func (r *Reader) Expected(ctx context.Context, from, to time.Time) ([]Expected, error) {
	return nil, errNotMade
}

// Incidents gives those of a time, in order.
func (r *Reader) Incidents(ctx context.Context, from, to time.Time) ([]Incident, error) {
	return nil, errNotMade
}

// Deletions gives those of a time, in order.
func (r *Reader) Deletions(ctx context.Context, from, to time.Time) ([]Deletion, error) {
	return nil, errNotMade
}

// Favourite says whether some of a receiver's time is that of a favourite.
func (r *Reader) Favourite(ctx context.Context, receiver string, from, to time.Time) (bool, error) {
	return false, errNotMade
}

// Form is how found transmissions are exported.
type Form string

const (
	Text Form = "text" // titles and lines
	CSV  Form = "csv"  // RFC 4180, a line each
	JSON Form = "json" // an object a line, with all characters
	ADIF Form = "adif" // stations heard, for a log
)

// Export writes all that a query finds, the oldest first; the query's limit counts if there is one. It returns how many.
func (r *Reader) Export(ctx context.Context, w io.Writer, f Form, q Query) (int, error) {
	return 0, errNotMade
}

// ExportCharts copies the charts that a query finds into a folder, with an index (index.html). It returns how many.
func (r *Reader) ExportCharts(ctx context.Context, folder string, q Query) (int, error) {
	return 0, errNotMade
}

// Backup copies the database into a file, at a moment, while others write; the file becomes the database of a folder by
// copying it there.
func (r *Reader) Backup(ctx context.Context, file string) error { return errNotMade }

// Problem is something wrong in an archive.
type Problem struct {
	What string // a sentence
	Path string // of a file, from the station's folder, or ""
	ID   ID     // or 0
	Mend string
}

// Check reads database and files and tells what is wrong with them.
func (r *Reader) Check(ctx context.Context) ([]Problem, error) { return nil, errNotMade }

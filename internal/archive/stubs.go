package archive

import (
	"context"
	"errors"
	"io"
	"time"
)

var errNotMade = errors.New("archive: not made yet")

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

// Form is how found transmissions are exported.
type Form string

const (
	AsText Form = "text" // titles and lines
	AsCSV  Form = "csv"  // RFC 4180, a line each
	AsJSON Form = "json" // an object a line, with all characters
	AsADIF Form = "adif" // stations heard, for a log
)

// Export writes all that a query finds, the oldest first; the query's limit counts if there is one. It returns how many.
func (r *Reader) Export(ctx context.Context, w io.Writer, f Form, q Query) (int, error) {
	return 0, errNotMade
}

// ExportCharts copies the charts that a query finds into a folder, with an index (index.html). It returns how many.
func (r *Reader) ExportCharts(ctx context.Context, folder string, q Query) (int, error) {
	return 0, errNotMade
}

// Problem is something wrong in an archive.
type Problem struct {
	What string // a sentence
	Path string // of a file, from the station's folder, or ""
	ID   ID     // or 0
	Mend string
}

// Check reads database and files and tells what is wrong with them.
func (r *Reader) Check(ctx context.Context) ([]Problem, error) { return nil, errNotMade }

package soundring

import (
	"errors"
	"time"
)

var errNotMade = errors.New("soundring: not made yet")

// Config of a Ring.
type Config struct {
	SampleRate float64              // Hz, of samples or of complex samples
	IQ         bool                 // samples are complex
	Age        time.Duration        // how much is kept; 0: without limit
	Bytes      int64                // and how many bytes; 0: without limit
	Note       func(string, ...any) // tells of trouble, such as slog.Warn; nil: nobody
}

// Ring keeps the sound of one receiver. It has one goroutine, which ends with Close.
type Ring struct{}

// Open opens the ring of a receiver in a station's folder, and mends the piece that a killed run left. Every error is one line
// for the user.
func Open(dir, receiver string, c Config) (*Ring, error) { return nil, errNotMade }

// Write takes samples, the first of which is at a time. It copies them and does not wait; if the disk does not keep up
// for ten seconds, samples are dropped, and counted.
func (r *Ring) Write(block []float32, at time.Time) {}

// WriteIQ takes complex samples; see Write.
func (r *Ring) WriteIQ(block []complex64, at time.Time) {}

// Close completes the piece in progress.
func (r *Ring) Close() error { return errNotMade }

// Stats are what health and metrics tell.
type Stats struct {
	Pieces  int
	Bytes   int64
	Dropped int64 // samples, since Open
	Trouble error
}

// Stats are those of now.
func (r *Ring) Stats() Stats { return Stats{} }

// Piece is a file of a ring.
type Piece struct {
	Path  string
	Begin time.Time // UTC
	End   time.Time // about
	Bytes int64
}

// Trim deletes the oldest pieces beyond the limits, by what time it is, but for those that keep wants; it returns what it
// deleted.
func (r *Ring) Trim(now time.Time, keep func(begin, end time.Time) bool) ([]Piece, error) {
	return nil, errNotMade
}

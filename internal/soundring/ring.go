package soundring

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"ionoscribe/internal/fault"
)

// Config of a Ring.
type Config struct {
	SampleRate float64              // Hz, of samples or of complex samples
	IQ         bool                 // samples are complex
	Age        time.Duration        // how much Trim leaves; 0: without limit
	Bytes      int64                // and how many bytes; 0: without limit
	Note       func(string, ...any) // tells of trouble, such as slog.Warn; nil: nobody
}

// mostQueued is how many seconds of samples wait for the disk.
const mostQueued = 10

// Ring keeps the sound of one receiver. It has one goroutine, which ends with Close. Its methods may be called from any
// goroutine, but for Write and WriteIQ, which are called from one.
type Ring struct {
	config Config
	folder string // of the receiver
	note   func(string, ...any)

	mutex   sync.Mutex
	queue   []block
	queued  int // numbers in it
	spare   [][]int16
	dropped int64
	pieces  []Piece // that are complete, the oldest first
	trouble error

	wake chan struct{}
	done chan struct{}
	once sync.Once
	err  error
}

// block is some samples; of complex ones both parts.
type block struct {
	samples []int16
	at      time.Time // of the first
	whole   []int16   // samples before any were written
}

// Open opens the ring of a receiver in a station's folder, and mends the piece that a killed run left. Every error is one line
// for the user.
func Open(dir, receiver string, c Config) (*Ring, error) {
	if rate := math.Round(c.SampleRate); !(rate >= 1 && rate <= mostRate) {
		return nil, fmt.Errorf("sound at a sample rate of %g Hz cannot be kept: FLAC has 1 to %d Hz", c.SampleRate, mostRate)
	}
	r := &Ring{config: c, folder: folderOf(dir, receiver), note: c.Note, wake: make(chan struct{}, 1), done: make(chan struct{})}
	if r.note == nil {
		r.note = func(string, ...any) {}
	}
	if err := os.MkdirAll(r.folder, 0o777); err != nil {
		return nil, writeError(r.folder, err)
	}
	r.mend()
	var err error
	if r.pieces, err = list(r.folder); err != nil {
		return nil, err
	}
	go r.run()
	return r, nil
}

// Write takes samples, the first of which is at a time. It copies them and does not wait; if the disk does not keep up
// for ten seconds, samples are dropped, and counted.
func (r *Ring) Write(samples []float32, at time.Time) {
	b := r.blank(len(samples))
	for i, x := range samples {
		b[i] = sample16(x)
	}
	r.put(block{b, at, b})
}

// WriteIQ takes complex samples; see Write.
func (r *Ring) WriteIQ(samples []complex64, at time.Time) {
	b := r.blank(2 * len(samples))
	for i, z := range samples {
		b[2*i], b[2*i+1] = sample16(real(z)), sample16(imag(z))
	}
	r.put(block{b, at, b})
}

// sample16 is a sample as the files have it: those of recordings with 16 bits stay as they are.
func sample16(x float32) int16 {
	switch v := x * 32768; {
	case v >= 32767:
		return 32767
	case v <= -32768:
		return -32768
	case v >= 0:
		return int16(v + 0.5)
	case v < 0:
		return int16(v - 0.5)
	}
	return 0 // no number
}

func (r *Ring) channels() int {
	if r.config.IQ {
		return 2
	}
	return 1
}

// blank is a slice of n numbers.
func (r *Ring) blank(n int) []int16 {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	if last := len(r.spare) - 1; last >= 0 {
		b := r.spare[last]
		r.spare = r.spare[:last]
		if cap(b) >= n {
			return b[:n]
		}
	}
	return make([]int16, n)
}

func (r *Ring) put(b block) {
	if len(b.samples) == 0 {
		return
	}
	r.mutex.Lock()
	defer r.mutex.Unlock()
	if r.queued+len(b.samples) > max(len(b.samples), int(mostQueued*r.config.SampleRate)*r.channels()) {
		if r.dropped == 0 {
			r.note("the disk does not keep up with the sound; some is not kept", "folder", r.folder)
		}
		r.dropped += int64(len(b.samples) / r.channels())
		return
	}
	r.queue = append(r.queue, b)
	r.queued += len(b.samples)
	select {
	case r.wake <- struct{}{}:
	default:
	}
}

// drop counts samples that are not kept.
func (r *Ring) drop(samples int64) {
	r.mutex.Lock()
	r.dropped += samples
	r.mutex.Unlock()
}

// add adds a piece that is complete, in the order of time.
func (r *Ring) add(p Piece) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	at, _ := slices.BinarySearchFunc(r.pieces, p, func(a, b Piece) int { return a.Begin.Compare(b.Begin) })
	r.pieces = slices.Insert(r.pieces, at, p)
}

// run writes what is queued.
func (r *Ring) run() {
	defer close(r.done)
	w := &pieceWriter{ring: r}
	var again <-chan time.Time // after an error
	for open := true; open; {
		select {
		case _, open = <-r.wake:
			if again != nil {
				continue
			}
		case <-again:
			again = nil
		}
		if !r.drain(w) {
			again = time.After(retryAfter)
		}
	}
	r.drain(w)
	if r.err = w.finish(); r.err != nil && w.file != nil {
		w.giveUp()
	}
	r.mutex.Lock()
	defer r.mutex.Unlock()
	r.dropped += int64(r.queued / r.channels())
	r.queue, r.queued = nil, 0
}

// drain writes all that is queued; false: it cannot be written now.
func (r *Ring) drain(w *pieceWriter) bool {
	for {
		r.mutex.Lock()
		if len(r.queue) == 0 {
			r.mutex.Unlock()
			return true
		}
		b := r.queue[0]
		r.mutex.Unlock()
		taken, err := w.write(b)
		r.failed(err)
		r.mutex.Lock()
		if r.queued -= taken; taken == len(b.samples) {
			r.queue = slices.Delete(r.queue, 0, 1)
			r.spare = append(r.spare, b.whole)
		} else {
			r.queue[0].samples, r.queue[0].at = b.samples[taken:], b.at.Add(w.after(int64(taken/r.channels())))
		}
		r.mutex.Unlock()
		if err != nil {
			return false
		}
	}
}

// failed notes trouble when it begins and when it ends.
func (r *Ring) failed(err error) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	switch {
	case err != nil && r.trouble == nil:
		r.note("sound cannot be kept", "error", err)
	case err == nil && r.trouble != nil:
		r.note("sound can be kept again", "folder", r.folder)
	}
	r.trouble = err
}

// Close completes the piece in progress. Nothing is written afterwards.
func (r *Ring) Close() error {
	r.once.Do(func() { close(r.wake) })
	<-r.done
	return r.err
}

// Stats are what health and metrics tell.
type Stats struct {
	Pieces  int   // that are complete
	Bytes   int64 // of these
	Dropped int64 // samples, since Open
	Trouble error // why nothing can be kept; nil: it can
}

// Stats are those of now.
func (r *Ring) Stats() Stats {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	s := Stats{Pieces: len(r.pieces), Dropped: r.dropped, Trouble: r.trouble}
	for _, p := range r.pieces {
		s.Bytes += p.Bytes
	}
	return s
}

// Trim deletes the oldest pieces beyond the limits, by what time it is, but for those that keep wants, which do not count; it
// returns what it deleted. keep may be nil.
func (r *Ring) Trim(now time.Time, keep func(begin, end time.Time) bool) (deleted []Piece, err error) {
	r.mutex.Lock()
	pieces := slices.Clone(r.pieces)
	r.mutex.Unlock()
	// What is of a time to come is from before the clock was put back: it is the oldest.
	slices.SortStableFunc(pieces, func(a, b Piece) int {
		return -cmp.Compare(toCome(a, now), toCome(b, now))
	})
	kept := make([]bool, len(pieces))
	var bytes int64
	for i, p := range pieces {
		kept[i] = keep != nil && keep(p.Begin, p.End)
		if !kept[i] {
			bytes += p.Bytes
		}
	}
	for i, p := range pieces {
		tooOld := r.config.Age > 0 && now.Sub(p.End).Abs() > r.config.Age
		if kept[i] || !tooOld && !(r.config.Bytes > 0 && bytes > r.config.Bytes) {
			continue
		}
		if e := os.Remove(p.Path); e != nil && !errors.Is(e, fs.ErrNotExist) {
			err = errors.Join(err, &fault.Error{Op: "delete", Path: p.Path, Err: fault.Cause(e), Mend: "change the permissions of its folder"})
			continue
		}
		bytes -= p.Bytes
		deleted = append(deleted, p)
		for dir := filepath.Dir(p.Path); dir != r.folder && os.Remove(dir) == nil; dir = filepath.Dir(dir) { // if it is empty
		}
	}
	r.mutex.Lock()
	r.pieces = slices.DeleteFunc(r.pieces, func(p Piece) bool {
		return slices.ContainsFunc(deleted, func(d Piece) bool { return d.Path == p.Path })
	})
	r.mutex.Unlock()
	return deleted, err
}

// toCome is 1 for a piece that begins after now.
func toCome(p Piece, now time.Time) int {
	if p.Begin.After(now) {
		return 1
	}
	return 0
}

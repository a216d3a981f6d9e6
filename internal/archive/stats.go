package archive

import (
	"os"
	"time"
)

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
func (a *Archive) Stats() Stats {
	a.mutex.Lock()
	s := a.stats.Stats
	s.PendingRows, s.PendingBytes, s.LostRows = len(a.pending.order)+a.pending.flying, a.pending.bytes+a.pending.flyingBytes, a.pending.lost
	a.mutex.Unlock()
	for _, suffix := range []string{"", "-wal"} {
		if fi, err := os.Stat(a.path + suffix); err == nil {
			s.Bytes += fi.Size()
		}
	}
	return s
}

// stats tells of trouble when it begins and when it ends.
type stats struct{ Stats }

func (s *stats) trouble(a *Archive, err error) {
	if s.Trouble == nil {
		a.note("the archive cannot be written; what comes in is kept, and tried again", "error", err)
	}
	s.Trouble = err
}

func (s *stats) works(a *Archive, rows int) {
	if s.Trouble != nil {
		a.note("the archive can be written again", "rows_lost", a.pending.lost)
	}
	s.Trouble = nil
	s.Commits++
	s.Rows += int64(rows)
	s.Committed = time.Now()
}

package station

import (
	"sync"
	"syscall"
	"time"
)

// Disk is the file system of the station's folder.
type Disk struct {
	Free, Total int64 // bytes
	// Filling is how many bytes a day it fills by, measured over Measured; zero within leastMeasured of the start.
	Filling  float64
	Measured time.Duration
}

const (
	freeEvery     = 10 * time.Minute // the free space is noted
	freeKept      = 24 * time.Hour   // what is deleted in the course of a day makes up for what comes in it
	leastMeasured = 10 * time.Minute // a shorter time tells of single charts
)

// diskGauge notes how much of a file system was free. It is safe for use by several goroutines.
type diskGauge struct {
	mutex sync.Mutex
	noted []noted // the oldest first, at most freeKept/freeEvery
}

type noted struct {
	at   time.Time
	free int64
}

// note takes how much is free now, by a clock that runs.
func (g *diskGauge) note(at time.Time, free int64) {
	g.mutex.Lock()
	defer g.mutex.Unlock()
	if n := len(g.noted); n > 0 && at.Sub(g.noted[n-1].at) < freeEvery {
		return
	}
	g.noted = append(g.noted, noted{at, free})
	for at.Sub(g.noted[0].at) > freeKept {
		g.noted = g.noted[1:]
	}
}

// filling is by how many bytes a day it fills.
func (g *diskGauge) filling(at time.Time, free int64) (perDay float64, over time.Duration) {
	g.mutex.Lock()
	defer g.mutex.Unlock()
	if len(g.noted) == 0 {
		return 0, 0
	}
	first := g.noted[0]
	if over = at.Sub(first.at); over < leastMeasured {
		return 0, 0
	}
	return float64(first.free-free) / over.Hours() * 24, over
}

// Disk is that of now; it fails if the folder cannot be looked at.
func (s *Station) Disk() (d Disk, err error) {
	var st syscall.Statfs_t
	if err := syscall.Statfs(s.dir, &st); err != nil {
		return d, err
	}
	d.Free, d.Total = int64(st.Bavail)*int64(st.Bsize), int64(st.Blocks)*int64(st.Bsize)
	d.Filling, d.Measured = s.disk.filling(s.options.running(), d.Free)
	return d, nil
}

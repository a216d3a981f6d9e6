package audio

import (
	"fmt"
	"sync"
)

// damage counts what was damaged in a recording and replaced by silence of the same length.
type damage struct {
	mutex  sync.Mutex
	rate   float64 // Hz
	places int
	frames int64
}

// add counts a piece of silence, of a new place or the one before.
func (d *damage) add(frames int64, begins bool) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	if begins {
		d.places++
	}
	d.frames += frames
}

// report is a line for the user; "" if nothing was damaged.
func (d *damage) report() string {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	if d.places == 0 {
		return ""
	}
	return fmt.Sprintf("damaged, places: %d; %.2f s of silence stand for what is lost", d.places, float64(d.frames)/d.rate)
}

package main

import (
	"fmt"
	"io"
	"sync"
)

// trouble tells on standard error, at once, that files cannot be written and that they can again. As long as one cannot,
// others are not told of: a full disk is one line, whatever was to go onto it.
type trouble struct {
	notes    io.Writer // nil: silent
	progress *progress // whose line is in the way; may be nil

	mutex   sync.Mutex
	failing map[string]bool
	lost    bool // something was given up since it began
}

// failed notes that a file was not written; err names it.
func (t *trouble) failed(path string, err error) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if len(t.failing) == 0 {
		t.failing = map[string]bool{}
		t.say(oneLine(err.Error()) + "; what comes in is kept, and tried again")
	}
	t.failing[path] = true
}

// gaveUp notes that what was kept for a file became too much; it is told where the file is accounted for, and here.
func (t *trouble) gaveUp(path string) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if !t.lost {
		t.say(fmt.Sprintf("%s: more than can be kept; the oldest is lost", oneLine(path)))
	}
	t.lost = true
}

// works notes that a file was written.
func (t *trouble) works(path string) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if !t.failing[path] {
		return
	}
	delete(t.failing, path)
	if len(t.failing) > 0 {
		return
	}
	how := "nothing was lost"
	if t.lost {
		how = "some was lost"
	}
	t.lost = false
	t.say(fmt.Sprintf("%s: can be written again; %s", oneLine(path), how))
}

func (t *trouble) say(line string) {
	if t.notes == nil {
		return
	}
	if t.progress != nil {
		t.progress.clear()
	}
	fmt.Fprintf(t.notes, "ionoscribe: %s\n", line)
}

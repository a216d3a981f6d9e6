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

// failed notes that something was not written; err names the file.
func (t *trouble) failed(what string, err error) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if len(t.failing) == 0 {
		t.failing = map[string]bool{}
		t.say(oneLine(err.Error()) + "; what comes in is kept, and tried again")
	}
	t.failing[what] = true
}

// gaveUp notes that what was kept became too much.
func (t *trouble) gaveUp() {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if !t.lost {
		t.say("more has come in than can be kept; the oldest is lost")
	}
	t.lost = true
}

// works notes that it was written.
func (t *trouble) works(what string) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if !t.failing[what] {
		return
	}
	delete(t.failing, what)
	if len(t.failing) > 0 {
		return
	}
	if t.lost {
		t.say("files can be written again; some was lost")
	} else {
		t.say("files can be written again; nothing was lost")
	}
	t.lost = false
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

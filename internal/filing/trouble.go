package filing

import (
	"sync"

	"ionoscribe/internal/fault"
)

// Trouble tells, at once, that files cannot be written and that they can again. As long as one cannot, others are not told
// of: a full disk is one line, whatever was to go onto it.
type Trouble struct {
	Note func(line string) // tells; nil: silent

	mutex   sync.Mutex
	failing map[string]bool
	lost    bool // something was given up since it began
	first   error
}

// Now is why files cannot be written; nil: they can.
func (t *Trouble) Now() error {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if len(t.failing) == 0 {
		return nil
	}
	return t.first
}

// failed notes that something was not written; err names the file.
func (t *Trouble) failed(what string, err error) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if len(t.failing) == 0 {
		t.failing, t.first = map[string]bool{}, err
		t.say(fault.OneLine(err.Error()) + "; what comes in is kept, and tried again")
	}
	t.failing[what] = true
}

// gaveUp notes that what was kept became too much.
func (t *Trouble) gaveUp() {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if !t.lost {
		t.say("more has come in than can be kept; the oldest is lost")
	}
	t.lost = true
}

// works notes that it was written.
func (t *Trouble) works(what string) {
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

func (t *Trouble) say(line string) {
	if t.Note != nil {
		t.Note(line)
	}
}

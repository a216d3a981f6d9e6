package filing

import (
	"io"
	"maps"
	"slices"
	"time"
)

const (
	lineWidth   = 80               // columns after which a gap between words ends a line
	linePause   = 10 * time.Second // without a character, after which a new line begins
	doubtBefore = "⌊"
	doubtAfter  = "⌋"
)

// TimeForm is how times are written, UTC.
const TimeForm = "2006-01-02T15:04:05Z"

func stamp(t time.Time) string { return t.UTC().Round(time.Second).Format(TimeForm) }

// Lines makes lines of the characters of one or more signals. Those of one signal alone are written as they come;
// of several, a line is written when it is complete.
type Lines struct {
	Out     io.Writer
	Log     io.Writer // gets a line when it is complete, after its time, and cannot fail; or nil
	Quiet   bool      // text is for the log alone
	Stamped bool      // lines of Out begin with their time too
	Doubt   float64   // characters whose confidence is lower are marked
	Several bool      // there may be more than one signal
	Err     error     // of the first write to Out that failed, after which there is none any more

	lines map[int]*openLine
}

// openLine is a line that is not complete.
type openLine struct {
	label   string
	begun   time.Time
	last    time.Time
	text    []byte
	columns int
}

// Char takes a character of a signal that label names, with the time at which it was sent.
func (t *Lines) Char(signal int, label, text string, confidence float64, at time.Time) {
	if t.Several { // others may have fallen silent
		for _, n := range t.signals() {
			if n != signal && at.Sub(t.lines[n].last) > linePause {
				t.EndSignal(n)
			}
		}
	}
	l := t.lines[signal]
	if l == nil {
		if t.lines == nil {
			t.lines = map[int]*openLine{}
		}
		l = &openLine{}
		t.lines[signal] = l
	}
	if len(l.text) > 0 && (at.Sub(l.last) > linePause || text == " " && l.columns >= lineWidth) {
		t.end(l)
	}
	l.last = at
	if text == "\n" { // one that was sent ends the line; more than one leave no empty ones
		t.EndSignal(signal)
		return
	}
	if text == " " && len(l.text) == 0 {
		return
	}
	if len(l.text) == 0 {
		if l.begun, l.label = at, label; t.Stamped {
			t.show(stamp(at) + "  ")
		}
	}
	if text != " " && confidence < t.Doubt {
		text = doubtBefore + text + doubtAfter
	}
	l.text = append(l.text, text...)
	l.columns++
	if !t.Several {
		t.show(text)
	}
}

// EndSignal ends the line of a signal, and forgets it.
func (t *Lines) EndSignal(signal int) {
	if l := t.lines[signal]; l != nil && len(l.text) > 0 {
		t.end(l)
	}
	delete(t.lines, signal)
}

// EndAll ends the lines of all signals.
func (t *Lines) EndAll() {
	for _, n := range t.signals() {
		t.EndSignal(n)
	}
}

// signals are those that have a line, in order, so that the same text is always the same output.
func (t *Lines) signals() []int { return slices.Sorted(maps.Keys(t.lines)) }

func (t *Lines) end(l *openLine) {
	line := string(l.text) + "\n"
	if t.Several {
		line = l.label + "  " + line
		t.show(line)
	} else {
		t.show("\n")
	}
	if t.Log != nil {
		io.WriteString(t.Log, stamp(l.begun)+"  "+line)
	}
	l.text, l.columns = l.text[:0], 0
}

func (t *Lines) show(text string) {
	if !t.Quiet {
		t.Print(text)
	}
}

// Print writes to Out.
func (t *Lines) Print(s string) {
	if t.Err == nil {
		_, t.Err = io.WriteString(t.Out, s)
	}
}

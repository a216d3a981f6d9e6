package main

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"time"

	"github.com/spf13/pflag"
)

// textOptions are those of every mode that prints text.
type textOptions struct {
	json  bool
	doubt float64
	log   string
}

func (o *textOptions) addFlags(f *pflag.FlagSet) {
	under(whereTo, f, func(f *pflag.FlagSet) {
		f.BoolVar(&o.json, "json", false, "write a JSON object a line for each character and each change of what is received")
		f.Float64Var(&o.doubt, "mark-doubt", 0, "put characters whose `CONFIDENCE`, 0 to 1, is lower between ⌊ and ⌋")
		f.StringVar(&o.log, "log", "", "append the text to `FILE` too, each line after its time in UTC")
	})
}

func (o *textOptions) check() error {
	if !(o.doubt >= 0 && o.doubt <= 1) {
		return usageError{fmt.Errorf("--mark-doubt %g is not within 0 and 1", o.doubt)}
	}
	return nil
}

const textStatusHelp = `Exit status: 0 all is well, 1 something could not be read or written (what was received is printed), 2 the
command line is wrong, 3 no text was received, 130 interrupted (what was received is printed).`

// errNoText says that nothing was received in a mode that prints text.
var errNoText = errors.New("no text was received")

const (
	lineWidth   = 80               // columns after which a gap between words ends a line
	linePause   = 10 * time.Second // without a character, after which a new line begins
	doubtBefore = "⌊"
	doubtAfter  = "⌋"
)

// textLines makes lines of the characters of one or more signals. Those of one signal alone are written as they come;
// of several, a line is written when it is complete.
type textLines struct {
	out, log io.Writer // log may be nil, and cannot fail
	quiet    bool      // text is for the log alone
	doubt    float64
	several  bool
	lines    map[int]*textLine
	err      error // of the first write of out that failed
}

type textLine struct {
	label   string
	begun   time.Time
	last    time.Time
	text    []byte
	columns int
}

// char takes a character of a signal that label names, with the time at which it was sent.
func (t *textLines) char(signal int, label, text string, confidence float64, at time.Time) {
	if t.several { // others may have fallen silent
		for _, n := range t.signals() {
			if n != signal && at.Sub(t.lines[n].last) > linePause {
				t.endSignal(n)
			}
		}
	}
	l := t.lines[signal]
	if l == nil {
		l = &textLine{}
		t.lines[signal] = l
	}
	if len(l.text) > 0 && (at.Sub(l.last) > linePause || text == " " && l.columns >= lineWidth) {
		t.end(l)
	}
	l.last = at
	if text == "\n" { // one that was sent ends the line; more than one leave no empty ones
		t.endSignal(signal)
		return
	}
	if text == " " && len(l.text) == 0 {
		return
	}
	if len(l.text) == 0 {
		l.begun, l.label = at, label
	}
	if text != " " && confidence < t.doubt {
		text = doubtBefore + text + doubtAfter
	}
	l.text = append(l.text, text...)
	l.columns++
	if !t.several {
		t.show(text)
	}
}

// endSignal ends the line of a signal, and forgets it.
func (t *textLines) endSignal(signal int) {
	if l := t.lines[signal]; l != nil && len(l.text) > 0 {
		t.end(l)
	}
	delete(t.lines, signal)
}

func (t *textLines) endAll() {
	for _, n := range t.signals() {
		t.endSignal(n)
	}
}

// signals are those that have a line, in order, so that the same text is always the same output.
func (t *textLines) signals() []int { return slices.Sorted(maps.Keys(t.lines)) }

func (t *textLines) end(l *textLine) {
	line := string(l.text) + "\n"
	if t.several {
		line = l.label + "  " + line
		t.show(line)
	} else {
		t.show("\n")
	}
	if t.log != nil {
		io.WriteString(t.log, l.begun.UTC().Round(time.Second).Format("2006-01-02T15:04:05Z  ")+line)
	}
	l.text, l.columns = l.text[:0], 0
}

func (t *textLines) show(text string) {
	if !t.quiet {
		t.print(text)
	}
}

// print writes to standard output; after an error no more.
func (t *textLines) print(s string) {
	if t.err != nil {
		return
	}
	if _, err := io.WriteString(t.out, s); err != nil {
		t.err = outputError(err)
	}
}

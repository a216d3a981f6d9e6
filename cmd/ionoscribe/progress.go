package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"ionoscribe/fax"
	"ionoscribe/internal/fault"
)

// progress shows on a terminal how far a source has come, in one line that is written again and again.
// On anything else it is silent.
type progress struct {
	w      io.Writer // nil: silent
	name   string
	length int64 // samples; -1: unknown
	rate   float64
	done   int64
	doing  string
	shown  time.Time
}

// showEvery is how often the line is written: often enough to look alive.
const showEvery = 200 * time.Millisecond

func newProgress(w io.Writer) *progress {
	if !isTerminal(w) {
		w = nil
	}
	return &progress{w: w}
}

// isTerminal takes every character device but the null device for a terminal.
func isTerminal(w any) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	fi, err := f.Stat()
	if err != nil || fi.Mode()&os.ModeCharDevice == 0 {
		return false
	}
	null, err := os.Stat(os.DevNull)
	return err != nil || !os.SameFile(fi, null)
}

func (p *progress) begin(path string, length int64, rate float64) {
	p.name, p.length, p.rate, p.done, p.doing = short(filepath.Base(path)), length, rate, 0, "listening"
	if path == "-" {
		p.name = "standard input"
	}
}

func short(name string) string {
	const most = 30
	if r := []rune(fault.OneLine(name)); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return fault.OneLine(name)
}

func (p *progress) state(s fax.State) {
	switch {
	case !s.Receiving:
		p.doing = "listening"
	case s.LPM == 0:
		p.doing = "chart begins"
	default:
		p.doing = fmt.Sprintf("chart, %.0f lines a minute, index %d", s.LPM, s.IOC)
	}
}

func (p *progress) add(samples int) {
	p.done += int64(samples)
	if p.w == nil || time.Since(p.shown) < showEvery {
		return
	}
	p.show()
}

func (p *progress) show() {
	p.shown = time.Now()
	how := clock(p.done, p.rate)
	if p.length > 0 {
		how = fmt.Sprintf("%3d %%", min(100, p.done*100/p.length))
	}
	fmt.Fprintf(p.w, "\r\x1b[K%s  %s  %s", p.name, how, p.doing)
}

// clock is the time that samples last, as minutes and seconds.
func clock(samples int64, rate float64) string {
	s := int64(float64(samples) / max(rate, 1))
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// last shows that the source is at its end and the chart being received is drawn.
func (p *progress) last() {
	if p.w != nil && p.doing != "listening" {
		p.doing = "drawing the chart"
		p.show()
	}
}

// clear removes the line, so that something else can be written.
func (p *progress) clear() {
	if p.w != nil {
		fmt.Fprint(p.w, "\r\x1b[K")
		p.shown = time.Time{}
	}
}

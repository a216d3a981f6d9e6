package filing

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"ionoscribe/copydesk"
	"ionoscribe/internal/modes"
	"ionoscribe/survey"
)

// Console tells a person of reports: a line each, of when, where, what, and what it says.
//
//	2026-03-04T12:00:01Z   7002.21 kHz  rtty     begins: 45.45 Bd, shift 170 Hz, mark lower, ITA2
//	2026-03-04T12:00:09Z   7002.21 kHz  rtty     GALE WARNING OSTREL SEA
//
// The time is how far the source has been heard, so that it never runs backwards.
type Console struct {
	Out      io.Writer // nil: only count
	Labelled bool      // lines name their source
	Err      error

	now    map[*Source]time.Time
	shown  map[place]string // settings
	count  map[survey.Kind]int
	charts int
	chars  int
	copied int
}

// Tell takes a report.
func (c *Console) Tell(r Report) {
	if c.now == nil {
		c.now, c.shown, c.count = map[*Source]time.Time{}, map[place]string{}, map[survey.Kind]int{}
	}
	if r.UTC.After(c.now[r.Source]) {
		c.now[r.Source] = r.UTC
	}
	f := r.Finding
	switch r.What {
	case copydesk.Began:
		c.settings(r, "begins: ")
	case copydesk.Changed:
		c.settings(r, "is ")
	case copydesk.Text:
		c.line(r, r.Text)
	case copydesk.Chart:
		c.charts++
		c.line(r, r.Picture)
	case copydesk.Ended:
		c.count[f.Kind]++
		delete(c.shown, placeOf(r.Event))
		c.chars += r.Length
		if r.Copied {
			c.copied++
			c.line(r, strings.TrimSuffix(fmt.Sprintf("ended; SNR %.1f dB  %s", f.SNR, r.File), "  "))
		}
	case copydesk.Gap:
		text := "nothing has come for %.0f s"
		if r.Over {
			text = "%.2f s were lost"
		}
		c.line(r, fmt.Sprintf(text, float64(r.Lost)/r.Source.Rate))
	case copydesk.Trouble:
		c.line(r, r.Err.Error())
	}
}

// settings says what a transmission is, if that is news.
func (c *Console) settings(r Report, verb string) {
	p, details := placeOf(r.Event), r.Source.Details(r.Finding)
	if r.Copied && c.shown[p] != details {
		c.shown[p] = details
		c.line(r, verb+details)
	}
}

// line writes a line.
func (c *Console) line(r Report, text string) {
	var parts []string
	switch {
	case r.Source == nil: // left over
		parts = []string{stamp(r.UTC), "left over"}
	case r.Transmission == 0:
		parts = []string{stamp(c.now[r.Source])}
	default:
		parts = []string{stamp(c.now[r.Source]), fmt.Sprintf("%12s", r.Source.frequency(r.Finding.Hz, " ")), fmt.Sprintf("%-7v", r.Finding.Kind)}
	}
	if c.Labelled {
		parts = append(parts, r.Event.Source)
	}
	c.Print(strings.Join(append(parts, text), "  "))
}

// Print writes a line; after an error no more.
func (c *Console) Print(line string) {
	if c.Err == nil && c.Out != nil {
		_, c.Err = fmt.Fprintln(c.Out, line)
	}
}

// Copied is how many transmissions were copied to their end.
func (c *Console) Copied() int { return c.copied }

// Kinds says what was found, "" if nothing: "1 fax, 2 rtty".
func (c *Console) Kinds() string {
	var kinds []string
	add := func(k survey.Kind) {
		if n := c.count[k]; n > 0 {
			kinds = append(kinds, fmt.Sprintf("%d %v", n, k))
		}
	}
	for _, m := range slices.Backward(modes.All) { // charts first
		add(survey.Kind(m.Name))
	}
	add(survey.Carrier)
	add(survey.Other)
	return strings.Join(kinds, ", ")
}

// Summary says what there was in a length of time, and where it is.
func (c *Console) Summary(length time.Duration, folder string) string {
	return fmt.Sprintf("In %v: %s; %s and %s in %s", length.Round(time.Second), c.Kinds(), count(c.charts, "chart"), count(c.chars, "character"), folder)
}

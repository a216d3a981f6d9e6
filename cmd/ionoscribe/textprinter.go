package main

import (
	"fmt"

	"ionoscribe/internal/mode"
)

// textPrinter prints what a decoder of text tells.
type textPrinter struct {
	*textReceiver
	table bool
	hzKey string // in JSON
	form  string // of a frequency
}

func (p *textPrinter) text(h mode.Heard) {
	p.chars++
	if p.json {
		p.object("char", h)
	}
	if !p.json || p.log != nil {
		p.lines.Char(h.Signal, p.label(h), h.Text, h.Confidence, p.time(h.At))
	}
}

func (p *textPrinter) state(h mode.Heard) {
	if p.json {
		what := "signal"
		if h.Lost {
			what = "lost"
		}
		p.object(what, h)
		return
	}
	if h.Lost || p.table && !p.lines.Several { // do not break into a line of text
		p.lines.EndSignal(h.Signal)
	}
	if !p.table {
		return
	}
	line := "* " + p.time(h.At).UTC().Format("15:04:05Z")
	if h.Signal > 0 {
		line += fmt.Sprintf("  signal %d  %s", h.Signal, p.label(h))
	}
	p.lines.Print(line + "  " + h.Words + "\n")
}

// label is where one of several signals is.
func (p *textPrinter) label(h mode.Heard) string {
	if h.Signal == 0 {
		return ""
	}
	return fmt.Sprintf(p.form, h.Hz)
}

// object prints the JSON object of what was heard.
func (p *textPrinter) object(what string, h mode.Heard) {
	e := textEvent{Source: p.name, Event: what, UTC: p.time(h.At).UTC().Format("2006-01-02T15:04:05.000Z"),
		Seconds: rounded(p.rate.Duration(h.At).Seconds(), 1000), Signal: h.Signal}
	if what == "signal" {
		e.TimeFrom = p.at.StartFrom()
	}
	where := map[string]float64{}
	if h.Hz != 0 {
		where[p.hzKey] = rounded(h.Hz, 10)
		if dial := p.at.Dial(); dial != 0 { // upper sideband
			where["air_hz"] = rounded(dial+h.Hz, 10)
		}
	}
	p.print(e, where, h.Fields)
}

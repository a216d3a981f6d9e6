package alerts

import (
	"fmt"
	"strings"
)

// alertOf is what an event that met a rule is told as.
func alertOf(r *Rule, e *Event) Alert {
	a := Alert{
		Rule: r.Name, What: e.What, UTC: e.UTC.UTC(), Receiver: e.Receiver, Transmission: e.Transmission, Mode: e.Mode,
		FrequencyHz: e.FrequencyHz, Entry: e.Entry, Title: e.Title, Detail: e.Detail,
	}
	a.Summary = summary(&a)
	return a
}

// summary is one line. It begins with a capital letter and has nothing in it that was received, so that it may be an argument
// of a command.
func summary(a *Alert) string {
	var s string
	switch a.What {
	case SignalBegan:
		s = "New signal"
	case SignalText:
		s = "Words received"
		if a.Country != "" {
			s = "Call sign of " + a.Country + " received"
		} else if a.Call != "" {
			s = "Call sign received"
		}
	case EntryCame:
		s = "Came: " + a.Title
	case EntryMissed:
		s = "Did not come: " + a.Title
	case EntryPoor:
		s = "Came badly: " + a.Title
	case Silent:
		s = "Receiver is silent"
	case Overloaded:
		s = "Receiver is overloaded"
	case Disconnected:
		s = "Receiver is disconnected"
	case ClockRuns:
		s = "Receiver's clock runs away"
	case DiskFull:
		s = "Disk is full"
	case NotKept:
		s = "What is heard cannot be kept"
	case TuneFailed:
		s = "Tuning failed"
	default:
		s = "Alert"
	}
	s = strings.TrimSuffix(strings.TrimSpace(s), ":")
	if a.FrequencyHz > 0 {
		s += fmt.Sprintf(" on %.1f kHz", a.FrequencyHz/1e3)
	}
	if a.Mode != "" {
		s += " in " + a.Mode
	}
	if a.Receiver != "" {
		s += ", receiver " + a.Receiver
	}
	return s
}

// words is an alert as a text of some lines.
func (m *Message) words() string {
	var b strings.Builder
	line := func(name, value string) {
		if value != "" {
			fmt.Fprintf(&b, "%-13s %s\n", name, value)
		}
	}
	b.WriteString(m.Summary + "\n\n")
	if m.Test {
		b.WriteString("This is a test. Nothing has happened.\n\n")
	}
	if m.Repeated {
		b.WriteString("This is sent again: it may have arrived before.\n\n")
	}
	line("time", m.UTC.UTC().Format("2006-01-02 15:04:05 UTC"))
	line("station", m.Station)
	line("rule", m.Rule)
	line("call sign", m.Call)
	line("match", m.Match)
	line("text", m.Excerpt)
	line("detail", m.Detail)
	if m.Transmission != 0 {
		line("transmission", fmt.Sprint(m.Transmission))
	}
	if m.HeldBack > 0 {
		line("held back", fmt.Sprintf("%d more of this rule", m.HeldBack))
	}
	return b.String()
}

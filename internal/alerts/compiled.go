package alerts

import (
	"slices"
	"strings"
)

// rule is one that is ready to be met.
type rule struct {
	Rule
	patterns []*pattern
}

func ready(rules []Rule) ([]rule, error) {
	all := make([]rule, 0, len(rules))
	for _, r := range rules {
		c := rule{Rule: r}
		for _, s := range r.Text {
			p, err := compile(s)
			if err != nil {
				return nil, err
			}
			c.patterns = append(c.patterns, p)
		}
		all = append(all, c)
	}
	return all, nil
}

// Reads says whether a rule looks for something in texts.
func (r Rule) Reads() bool { return len(r.Text) > 0 || len(r.Calls) > 0 || len(r.Countries) > 0 }

// wants says whether a call sign meets a rule.
func (r *rule) wants(call, country string) bool {
	return slices.ContainsFunc(r.Calls, func(p string) bool { return matchCall(p, call) }) ||
		slices.ContainsFunc(r.Countries, func(c string) bool { return strings.EqualFold(c, country) })
}

// concerns says whether a rule is about the receiver, mode and programme entry of an event.
func (r *rule) concerns(e *Event) bool {
	in := func(list []string, name string) bool {
		return len(list) == 0 || slices.ContainsFunc(list, func(s string) bool { return strings.EqualFold(s, name) })
	}
	return in(r.Receivers, e.Receiver) && in(r.Modes, e.Mode) && in(r.Entries, e.Entry)
}

// meets says whether an event that is no text meets a rule.
func (r *rule) meets(e *Event) bool {
	if !r.concerns(e) {
		return false
	}
	if e.What == SignalBegan {
		return r.Signal != nil && e.FrequencyHz >= r.Signal.FromHz && e.FrequencyHz <= r.Signal.ToHz
	}
	return slices.Contains(r.Programme, e.What) || slices.Contains(r.Receiver, e.What) || slices.Contains(r.Station, e.What)
}

package stationfile

import (
	"slices"

	"ionoscribe/internal/alerts"
)

// distressMode is the mode in which distress calls are told of.
const distressMode = "dsc"

// Rules are those of the file, and one more for distress calls, with all ways out, if the file has none for their mode.
func (c *Config) Rules() []alerts.Rule {
	if slices.ContainsFunc(c.Alerts, func(r alerts.Rule) bool { return slices.Contains(r.Modes, distressMode) }) {
		return c.Alerts
	}
	usual := alerts.Rule{
		Name: "distress calls", Modes: []string{distressMode},
		Text: []string{"distress alert", "distress relay", "distress acknowledgement"},
	}
	for slices.ContainsFunc(c.Alerts, func(r alerts.Rule) bool { return r.Name == usual.Name }) {
		usual.Name += " (usual)"
	}
	for _, w := range c.Ways {
		usual.Ways = append(usual.Ways, w.Name)
	}
	return append(slices.Clone(c.Alerts), usual)
}

package stationfile

import (
	"slices"
	"strings"

	"ionoscribe/internal/alerts"
	"ionoscribe/internal/nearest"
)

// readAlerts reads rules and ways out, and holds their names against what there is; those of entries if all were read.
func readAlerts(root *table, c *Config, allEntries bool) {
	var ways, names, entries []string
	for _, t := range root.tables("way") {
		var w alerts.WayConfig
		if t.decode(&w) {
			t.faults(w.Check())
		}
		t.unique("name", w.Name, ways)
		ways = append(ways, w.Name)
		c.Ways = append(c.Ways, w)
	}
	for _, e := range c.Programme {
		entries = append(entries, e.ID)
	}
	for _, t := range root.tables("alert") {
		var r alerts.Rule
		if t.decode(&r) {
			t.faults(r.Check(ways))
			if receivers := receiverNames(c.Receivers); receivers != nil {
				t.exist("receivers", "receiver", r.Receivers, receivers)
			}
			t.exist("modes", "mode", r.Modes, modeNames())
			if allEntries {
				t.exist("entries", "entry of the programme", r.Entries, entries)
			}
		}
		t.unique("name", r.Name, names)
		names = append(names, r.Name)
		c.Alerts = append(c.Alerts, r)
	}
}

func (t *table) faults(faults []alerts.Fault) {
	for _, f := range faults {
		path := t.path
		if f.Key != "" {
			path = t.at(f.Key)
		}
		t.wrong(path, f.Mend, "%s", f.Message)
	}
}

func (t *table) unique(key, name string, others []string) {
	if name != "" && slices.Contains(others, name) {
		t.wrong(t.at(key), "give one of them another name", "the name %q is there already", name)
	}
}

// exist wants each of some names to be one that there is.
func (t *table) exist(key, what string, names, all []string) {
	for i, name := range names {
		if slices.Contains(all, name) {
			continue
		}
		mend := nearest.DidYouMean(name, all)
		if mend == "" && len(all) > 0 {
			mend = "there are: " + strings.Join(all, ", ")
		}
		t.wrong(t.where(key, i), mend, "there is no %s %q", what, name)
	}
}

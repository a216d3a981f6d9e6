package stationfile

import "ionoscribe/internal/alerts"

// Rules are the rules for alerts as they are written, as far as they can be understood; nil if the file is not TOML.
func (d *Draft) Rules() (all []alerts.Rule) {
	doc, err := parse(d.path, d.text)
	if err != nil {
		return nil
	}
	for _, t := range doc.table("", doc.root).tables("alert") {
		var r alerts.Rule
		t.decode(&r)
		all = append(all, r)
	}
	return all
}

// Ways are the ways out likewise.
func (d *Draft) Ways() (all []alerts.WayConfig) {
	doc, err := parse(d.path, d.text)
	if err != nil {
		return nil
	}
	for _, t := range doc.table("", doc.root).tables("way") {
		var w alerts.WayConfig
		t.decode(&w)
		all = append(all, w)
	}
	return all
}

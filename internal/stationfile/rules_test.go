package stationfile

import (
	"slices"
	"testing"

	"ionoscribe/internal/alerts"
)

// Distress calls are told of on all ways out, unless the file says what is to be told of selective calls.
func TestRules(t *testing.T) {
	c := &Config{Ways: []alerts.WayConfig{{Name: "mail"}, {Name: "file"}}, Alerts: []alerts.Rule{{Name: "distress calls", Text: []string{"gale"}, Ways: []string{"file"}}}}
	all := c.Rules()
	if len(all) != 2 || all[1].Name == all[0].Name || !slices.Equal(all[1].Ways, []string{"mail", "file"}) || len(c.Alerts) != 1 {
		t.Errorf("%+v", all)
	}
	if faults := all[1].Check([]string{"mail", "file"}); len(faults) > 0 {
		t.Error(faults)
	}
	c.Alerts[0].Modes = []string{"dsc"}
	if all := c.Rules(); len(all) != 1 {
		t.Errorf("%+v", all)
	}
}

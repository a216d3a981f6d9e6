package alerts_test

import (
	"errors"
	"iter"
	"slices"
	"strings"
	"testing"
	"time"

	"ionoscribe/internal/alerts"
)

func given(all ...alerts.Event) iter.Seq2[alerts.Event, error] {
	return func(yield func(alerts.Event, error) bool) {
		for _, e := range all {
			if !yield(e, nil) {
				return
			}
		}
	}
}

var midday = time.Date(2026, 11, 27, 12, 0, 0, 0, time.UTC)

// received is a text, a character a second.
func received(transmission int64, at time.Time, text string) (all []alerts.Event) {
	for i, c := range text {
		all = append(all, alerts.Event{What: alerts.SignalText, UTC: at.Add(time.Duration(i) * time.Second), Receiver: "north", Mode: "rtty", Transmission: transmission,
			Text: string(c), Confidence: 0.9})
	}
	return append(all, alerts.Event{What: alerts.SignalEnded, UTC: at.Add(time.Hour), Receiver: "north", Transmission: transmission})
}

func TestTrialOfTexts(t *testing.T) {
	events := slices.Concat(received(2, midday.Add(time.Hour), "GALE WARNING"), received(1, midday, "ALL QUIET. STORM WARNING. GALE WARN1NG 9"), received(3, midday.Add(2*time.Hour), "GALA"))
	c, err := alerts.Trial("Inselwacht", alerts.Rule{Name: "gale", Text: []string{"GALE WARNING"}, Ways: []string{"w"}}, midday.Add(24*time.Hour), given(events...))
	if err != nil || !c.Whole || c.Count != 2 || len(c.Alerts) != 2 {
		t.Fatalf("%+v %v", c, err)
	}
	newest, oldest := c.Alerts[0], c.Alerts[1]
	if newest.Transmission != 2 || newest.Match != "GALE WARNING" || newest.Station != "Inselwacht" || newest.Rule != "gale" {
		t.Errorf("%+v", newest)
	}
	if oldest.Transmission != 1 || oldest.Match != "GALE WARN1NG" || !strings.HasPrefix(oldest.Excerpt, "ALL QUIET.") {
		t.Errorf("%+v", oldest)
	}
	if c, _ := alerts.Trial("", alerts.Rule{Name: "cw", Text: []string{"GALE"}, Modes: []string{"cw"}}, midday, given(events...)); c.Count != 0 {
		t.Errorf("%+v", c)
	}
}

// What a rule holds back is told with the next alert, or when the hold ends, as it would have been.
func TestTrialHolds(t *testing.T) {
	missed := func(minutes int) alerts.Event {
		return alerts.Event{What: alerts.EntryMissed, UTC: midday.Add(time.Duration(minutes) * time.Minute), Entry: "analysis", Title: "Analysis"}
	}
	events := given(missed(50), missed(0), missed(5), missed(20), missed(240))
	for _, c := range []struct {
		name     string
		rule     alerts.Rule
		to       int
		minutes  []int // when alerts were made, newest first
		heldBack int
	}{
		{"no hold", alerts.Rule{}, 300, []int{240, 50, 20, 5, 0}, 0},
		{"least interval", alerts.Rule{LeastInterval: 30 * 60e9}, 300, []int{240, 60, 30, 0}, 1},
		{"quiet hours", alerts.Rule{Quiet: []alerts.Hours{{From: 12 * 60, To: 13 * 60}}}, 300, []int{240, 60}, 3},
		{"held at the end", alerts.Rule{Quiet: []alerts.Hours{{From: 16 * 60, To: 17 * 60}}}, 250, []int{50, 20, 5, 0}, 1},
	} {
		c.rule.Name, c.rule.Programme = "missed", []alerts.What{alerts.EntryMissed}
		got, err := alerts.Trial("", c.rule, midday.Add(time.Duration(c.to)*time.Minute), events)
		var minutes []int
		for _, a := range got.Alerts {
			minutes = append(minutes, int(a.Made.Sub(midday).Minutes()))
		}
		if err != nil || !slices.Equal(minutes, c.minutes) || got.HeldBack != c.heldBack || got.Count != len(minutes) {
			t.Errorf("%s: %v, %d held back, %v; want %v, %d", c.name, minutes, got.HeldBack, err, c.minutes, c.heldBack)
		}
	}
}

func TestTrialFails(t *testing.T) {
	no := errors.New("no")
	_, err := alerts.Trial("", alerts.Rule{Name: "x", Station: []alerts.What{alerts.DiskFull}}, midday, func(yield func(alerts.Event, error) bool) { yield(alerts.Event{}, no) })
	if err != no {
		t.Error(err)
	}
}

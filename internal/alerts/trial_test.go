package alerts

import (
	"errors"
	"testing"
	"time"
)

// A trial catches what the alerter would have sent: the words of texts, outcomes of the programme, signals; and holds back the same.
func TestTrial(t *testing.T) {
	at := time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)
	say := func(tr *Trial, transmission int64, at time.Time, text string) {
		for _, r := range text {
			tr.Consider(Event{What: SignalText, UTC: at, Receiver: "a", Transmission: transmission, Mode: "rtty", Text: string(r), Confidence: 1})
		}
		tr.Consider(Event{What: SignalEnded, UTC: at, Receiver: "a", Transmission: transmission, Mode: "rtty"})
	}
	for _, c := range []struct {
		name         string
		rule         Rule
		happens      func(tr *Trial)
		caught, held int
		match        string
	}{
		{"words", Rule{Name: "gale", Text: []string{"GALE WARNING"}}, func(tr *Trial) {
			say(tr, 1, at, "STORM AND GALE WARNING OSTREL")
			say(tr, 2, at, "NO WARNING")
		}, 1, 0, "GALE WARNING"},
		{"least interval", Rule{Name: "gale", Text: []string{"GALE"}, LeastInterval: Duration(time.Hour)}, func(tr *Trial) {
			say(tr, 1, at, "GALE ")
			say(tr, 2, at.Add(10*time.Minute), "GALE ")
			say(tr, 3, at.Add(70*time.Minute), "GALE ")
		}, 2, 1, "GALE"},
		{"quiet hours", Rule{Name: "gale", Text: []string{"GALE"}, Quiet: []Hours{{11 * 60, 13 * 60}}}, func(tr *Trial) { say(tr, 1, at, "GALE ") }, 0, 1, ""},
		{"programme", Rule{Name: "missed", Programme: []What{EntryMissed}}, func(tr *Trial) {
			tr.Consider(Event{What: EntryMissed, UTC: at, Title: "Analysis"})
			tr.Consider(Event{What: EntryCame, UTC: at, Title: "Analysis"})
		}, 1, 0, ""},
		{"signal", Rule{Name: "new", Signal: &Range{7e6, 8e6}}, func(tr *Trial) {
			tr.Consider(Event{What: SignalBegan, UTC: at, FrequencyHz: 7.5e6})
			tr.Consider(Event{What: SignalBegan, UTC: at, FrequencyHz: 8.5e6})
		}, 1, 0, ""},
	} {
		tr, err := NewTrial("station", c.rule)
		if err != nil {
			t.Fatal(err)
		}
		c.happens(tr)
		latest, all, held := tr.Caught()
		if all != c.caught || held != c.held || len(latest) != c.caught || c.match != "" && latest[0].Match != c.match {
			t.Errorf("%s: %d caught, %d held back: %+v", c.name, all, held, latest)
		}
	}
	if _, err := NewTrial("station", Rule{Name: "silent", Receiver: []What{Silent}}); !errors.Is(err, ErrNotKept) {
		t.Errorf("%v", err)
	}
}

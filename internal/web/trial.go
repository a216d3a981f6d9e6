package web

import (
	"context"
	"errors"
	"time"

	"ionoscribe/internal/alerts"
	"ionoscribe/internal/archive"
)

// trialAnswer is what a rule would have caught in a time.
type trialAnswer struct {
	Faults   []ruleFault    `json:"faults"`
	Caught   []alerts.Alert `json:"caught"` // the latest, newest first
	Count    int            `json:"count"`
	HeldBack int            `json:"held_back"`
	From     time.Time      `json:"from_utc"` // since when all was read
	To       time.Time      `json:"to_utc"`
	Whole    bool           `json:"whole"` // it was read since as long ago as it should be
}

// ruleFault is what is wrong with a rule.
type ruleFault struct {
	Key     string `json:"key"` // of the rule; "": all of it
	Message string `json:"message"`
	Mend    string `json:"mend"`
}

func faultsOf(all []alerts.Fault) []ruleFault {
	told := []ruleFault{}
	for _, f := range all {
		told = append(told, ruleFault{f.Key, f.Message, f.Mend})
	}
	return told
}

// try runs a trial as long as there is time.
func (s *Server) try(ctx context.Context, rule alerts.Rule, t *trialAnswer) error {
	since := t.To
	q := archive.EventQuery{From: t.From, To: t.To, Read: func(at time.Time) { since = at }}
	if rule.Reads() {
		q.Lines = trialLines
	}
	name := ""
	if s.Station != nil {
		name, _ = s.Station.Name()
	}
	c, err := alerts.Trial(name, rule, t.To, func(yield func(alerts.Event, error) bool) {
		for e, err := range s.Archive.Events(ctx, q) {
			if errors.Is(err, context.DeadlineExceeded) || !yield(e, err) {
				return
			}
		}
	})
	if err != nil {
		return fromArchive(err)
	}
	t.Whole = c.Whole && since.Equal(t.From)
	t.From, t.Caught, t.Count, t.HeldBack = since, notNil(c.Alerts), c.Count, c.HeldBack
	return nil
}

package alerts

import (
	"errors"
	"fmt"
)

// Trial tells what a rule would have caught of things that have happened.
type Trial struct {
	alerter *Alerter
	rule    Rule
	last    Alert
	any     bool // last is one
	count   int
	held    int
	caught  []Alert
}

// mostCaught is how many alerts a trial keeps, the latest ones: a list to be read.
const mostCaught = 50

// ErrNotKept is the error of a rule whose condition is of what the archive does not keep.
var ErrNotKept = errors.New("the archive does not keep what receivers and disks suffered from, so that a trial would find nothing; send a test instead")

// NewTrial makes one of a rule that passed Check.
func NewTrial(station string, r Rule) (*Trial, error) {
	if len(r.Receiver) > 0 || len(r.Station) > 0 {
		return nil, ErrNotKept
	}
	rules, err := ready([]Rule{r})
	if err != nil {
		return nil, fmt.Errorf("rule %s: %w", r.Name, err)
	}
	return &Trial{alerter: &Alerter{station: station, rules: rules, texts: map[textKey]*text{}}, rule: r}, nil
}

// Consider takes an event. Those of a transmission come in order; of others that is not needed, but for what the rule's least
// interval holds back.
func (t *Trial) Consider(e Event) {
	for _, q := range t.alerter.match(e) {
		a := q.Alert
		a.Station, a.Made = t.alerter.station, e.UTC
		if t.any && t.rule.holds(a.Made, t.last.Made) || !t.any && isQuiet(t.rule.Quiet, a.Made.UTC().Hour()*60+a.Made.UTC().Minute()) {
			t.held++
			continue
		}
		t.last, t.any = a, true
		t.count++
		t.caught = append(t.caught, a)
		if len(t.caught) > mostCaught {
			t.caught = t.caught[1:]
		}
	}
}

// Caught gives the latest alerts, the latest first, how many there were in all, and how many were held back besides.
func (t *Trial) Caught() (latest []Alert, all, held int) {
	for i := len(t.caught) - 1; i >= 0; i-- {
		latest = append(latest, t.caught[i])
	}
	return latest, t.count, t.held
}

// Reads says whether the rule looks at texts.
func (t *Trial) Reads() bool { return t.alerter.rules[0].reads() }

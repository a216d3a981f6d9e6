package alerts

import (
	"iter"
	"slices"
	"time"
)

// Caught is what a rule would have told of.
type Caught struct {
	Alerts   []Alert // the latest of them, newest first, and not more than mostCaught
	Count    int     // of all
	HeldBack int     // events that would have been told of with a later alert, or are held back at the end
	Whole    bool    // false: there was more than mostMet events, of which the first ones stand here
}

const (
	mostCaught = 100   // alerts that a person looks at
	mostMet    = 10000 // events of a trial: some megabytes
)

// Trial tells what a rule, which passed Check, would have told of by a time, had it been there when some events happened. Texts may
// come one behind the other, as long as each is in order and ends with [SignalEnded]. An error is that of the events.
func Trial(station string, r Rule, to time.Time, events iter.Seq2[Event, error]) (Caught, error) {
	a := &Alerter{}
	if err := a.Change([]Rule{r}, nil); err != nil {
		return Caught{}, err
	}
	c := Caught{Whole: true}
	var met []Alert
	for e, err := range events {
		if err != nil {
			return c, err
		}
		for _, q := range a.match(e) {
			if len(met) == mostMet {
				c.Whole = false
				break
			}
			q.Station, q.Made = station, q.UTC
			met = append(met, q.Alert)
		}
	}
	slices.SortStableFunc(met, func(a, b Alert) int { return a.UTC.Compare(b.UTC) })
	t := trial{rule: &r, caught: &c}
	for _, m := range met {
		t.meet(m)
	}
	t.release(to)
	c.HeldBack += t.held
	slices.Reverse(c.Alerts)
	c.Alerts = c.Alerts[:min(len(c.Alerts), mostCaught)]
	return c, nil
}

// trial holds back as [Alerter.Run] does, in the time of the events.
type trial struct {
	rule   *Rule
	caught *Caught
	last   time.Time // of the last alert
	held   int       // since then
	latest Alert     // of those held back
}

func (t *trial) meet(a Alert) {
	t.release(a.Made)
	if t.rule.holds(a.Made, t.last) {
		t.held, t.latest = t.held+1, a
		return
	}
	a.HeldBack = t.held
	t.tell(a)
}

// release tells of what was held back, if nothing holds it any more by a time.
func (t *trial) release(by time.Time) {
	if t.held == 0 {
		return
	}
	free := t.last.Add(time.Duration(t.rule.LeastInterval))
	if free.Before(t.latest.Made) {
		free = t.latest.Made
	}
	free = quietUntil(t.rule.Quiet, free)
	if free.After(by) {
		return
	}
	a := t.latest
	a.Made, a.HeldBack = free, t.held-1
	t.tell(a)
}

func (t *trial) tell(a Alert) {
	t.caught.Count++
	t.caught.HeldBack += a.HeldBack
	t.caught.Alerts = append(t.caught.Alerts, a)
	t.last, t.held = a.Made, 0
}

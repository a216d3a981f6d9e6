package alerts

import (
	"log/slog"
	"slices"
	"sync"
	"time"
)

// Config is what an Alerter works with.
type Config struct {
	Station string
	Rules   []Rule         // that passed Check
	Ways    map[string]Way // by name
	Store   Store
	Now     func() time.Time // nil: time.Now
	Log     *slog.Logger     // gets what fails; nil: nowhere
}

const (
	// mostTexts are followed at a time: more than copies can be under way. Of those whose end is never told the one that has been
	// silent longest is forgotten.
	mostTexts = 1000
	// mostQueued alerts of a rule wait for the store; of more the latest one stands for the others. It is reached if the store
	// fails for long.
	mostQueued = 100
)

// Alerter makes alerts of events and delivers them.
type Alerter struct {
	station string
	store   Store
	now     func() time.Time
	log     *slog.Logger
	wake    chan struct{} // of Run: there is something in the queue
	tick    time.Duration // after which Run looks what is due

	mutex sync.Mutex
	rules []rule
	ways  map[string]Way
	texts map[textKey]*text
	count int64 // characters of all texts
	queue []queued

	held map[string]*Held // Run's
}

// queued is an alert that is not in the store yet.
type queued struct {
	Alert
	rule *Rule
}

// textKey is whose a text is: numbers of transmissions may be those of a receiver.
type textKey struct {
	receiver     string
	transmission int64
}

// New makes one. It reads from the store what is held back.
func New(c Config) (*Alerter, error) {
	a := &Alerter{
		station: c.Station, store: c.Store, now: c.Now, log: c.Log, wake: make(chan struct{}, 1), tick: time.Second, held: map[string]*Held{},
	}
	if a.now == nil {
		a.now = time.Now
	}
	if a.log == nil {
		a.log = slog.New(slog.DiscardHandler)
	}
	all, err := c.Store.Held()
	if err != nil {
		return nil, err
	}
	for _, h := range all {
		a.held[h.Rule] = &h
	}
	if err := a.Change(c.Rules, c.Ways); err != nil {
		return nil, err
	}
	return a, nil
}

// Change takes another configuration of rules and ways into use. What is in the outbox stays there; words that are half received
// are looked for again from their next character.
func (a *Alerter) Change(rules []Rule, ways map[string]Way) error {
	r, err := ready(rules)
	if err != nil {
		return err
	}
	a.mutex.Lock()
	defer a.mutex.Unlock()
	a.rules, a.ways, a.texts = r, ways, map[textKey]*text{}
	return nil
}

// Consider takes an event. It does not wait for anything and may be called from any goroutine.
func (a *Alerter) Consider(e Event) {
	met := a.match(e)
	if len(met) == 0 {
		return
	}
	now := a.now().UTC() // with no lock held: the clock may have one of its own
	a.mutex.Lock()
	for _, q := range met {
		q.Station, q.Made = a.station, now
		a.enqueue(q)
	}
	a.mutex.Unlock()
	select {
	case a.wake <- struct{}{}:
	default: // it is told already
	}
}

// match gives what an event makes alerts of.
func (a *Alerter) match(e Event) (met []queued) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	key := textKey{e.Receiver, e.Transmission}
	switch e.What {
	case SignalText:
		if slices.ContainsFunc(a.rules, func(r rule) bool { return r.Reads() }) {
			a.textOf(key).write(a.rules, e, func(h hit) { met = a.found(met, &e, h) })
		}
		return met
	case SignalEnded:
		if t := a.texts[key]; t != nil {
			delete(a.texts, key)
			t.end(a.rules, func(h hit) { met = a.found(met, &t.about, h) })
		}
		return met
	}
	for i := range a.rules {
		if r := &a.rules[i]; r.meets(&e) {
			met = append(met, queued{alertOf(&r.Rule, &e), &r.Rule})
		}
	}
	return met
}

// textOf is the text of a transmission.
func (a *Alerter) textOf(key textKey) *text {
	t := a.texts[key]
	if t == nil {
		if len(a.texts) >= mostTexts {
			a.forgetText()
		}
		t = newText(a.rules)
		a.texts[key] = t
	}
	a.count++
	t.used = a.count
	return t
}

func (a *Alerter) forgetText() {
	oldest, used := textKey{}, a.count+1
	for k, t := range a.texts {
		if t.used < used {
			oldest, used = k, t.used
		}
	}
	delete(a.texts, oldest)
}

// found adds an alert of what met a rule in a text.
func (a *Alerter) found(met []queued, e *Event, h hit) []queued {
	r := &a.rules[h.rule]
	if !r.concerns(e) {
		return met
	}
	alert := alertOf(&r.Rule, e)
	alert.Match, alert.Call, alert.Country, alert.Excerpt = h.match, h.call, h.country, h.excerpt
	alert.Summary = summary(&alert)
	return append(met, queued{alert, &r.Rule})
}

// enqueue adds to the queue. The lock is held.
func (a *Alerter) enqueue(q queued) {
	last, n := 0, 0
	for i := range a.queue {
		if a.queue[i].Alert.Rule == q.Alert.Rule {
			last = i
			n++
		}
	}
	if n < mostQueued {
		a.queue = append(a.queue, q)
		return
	}
	q.HeldBack = a.queue[last].HeldBack + 1
	a.queue[last] = q
}

package alerts

import (
	"context"
	"errors"
	"slices"
	"time"
)

// The pause after an attempt that failed doubles from firstPause up to longestPause. An alert that is older than keptTrying is
// given up when an attempt fails.
const (
	firstPause   = 30 * time.Second
	longestPause = time.Hour
	keptTrying   = 24 * time.Hour
)

func pauseAfter(attempts int) time.Duration {
	pause := firstPause
	for range attempts - 1 {
		if pause = 2 * pause; pause >= longestPause {
			return longestPause
		}
	}
	return pause
}

// Run keeps and delivers alerts until ctx is done. When it returns, what was considered before is in the store, and no attempt is
// under way. Its error is the store's, which could not take what there was in the end.
func (a *Alerter) Run(ctx context.Context) error {
	r := runner{Alerter: a, ctx: ctx, results: make(chan result), busy: map[string]bool{}, told: map[told]Delivery{}}
	ticker := time.NewTicker(a.tick)
	defer ticker.Stop()
	for ctx.Err() == nil {
		r.troubled(r.pass(ctx))
		select {
		case <-ctx.Done():
		case <-a.wake:
		case <-ticker.C:
		case done := <-r.results:
			r.finish(done)
		}
	}
	return r.stop()
}

// runner is what Run owns.
type runner struct {
	*Alerter
	ctx     context.Context
	results chan result
	busy    map[string]bool // ways out on which an attempt is under way
	unkept  []Delivery      // results that the store has not taken yet
	failing bool            // the store

	told map[told]Delivery // without the store, see told.go
}

// result is what came of an attempt.
type result struct {
	delivery Delivery
	before   bool // MaybeSent before it
	reply    string
	err      error
	stopped  bool // by the end of Run
	unstored bool // the delivery is not in the store
}

// pass does all that is due. What fails does not keep the rest from being done.
func (r *runner) pass(ctx context.Context) error {
	return errors.Join(r.keep(), r.markUnkept(), r.release(), r.begin(ctx))
}

// keep puts the queue into the outbox.
func (r *runner) keep() error {
	r.mutex.Lock()
	queue := r.queue
	r.queue = nil
	r.mutex.Unlock()
	next := nextOfRule(queue)
	for i, q := range queue {
		if err := r.keepOne(&q, next[i]); err != nil {
			r.mutex.Lock()
			r.queue = append(queue[i:], r.queue...)
			r.mutex.Unlock()
			for _, q := range queue[i:] {
				r.tell(q)
			}
			return err
		}
	}
	r.forgetTold()
	return nil
}

// nextOfRule gives for each alert the next one of its rule, or nil.
func nextOfRule(queue []queued) []*queued {
	next, of := make([]*queued, len(queue)), map[string]*queued{}
	for i := len(queue) - 1; i >= 0; i-- {
		next[i] = of[queue[i].Alert.Rule]
		of[queue[i].Alert.Rule] = &queue[i]
	}
	return next
}

// keepOne adds an alert, or holds it back. If there is a next one of its rule, that stands for it: a flood costs the store little.
func (r *runner) keepOne(q, next *queued) error {
	a, h := q.Alert, r.heldOf(q.Alert.Rule)
	if !q.rule.holds(a.Made, h.Last) {
		a.HeldBack += h.Count
		return r.add(a, q.rule, h)
	}
	if next != nil {
		next.HeldBack += 1 + a.HeldBack
		return nil
	}
	if err := r.store.Hold(a); err != nil {
		return err
	}
	h.Count, h.Latest = h.Count+1+a.HeldBack, a
	return nil
}

func (r *runner) add(a Alert, rule *Rule, h *Held) error {
	id, err := r.store.Add(a, rule.Ways)
	if err != nil {
		return err
	}
	r.kept(a, id)
	*h = Held{Rule: a.Rule, Last: a.Made}
	return nil
}

// release sends the latest of what was held back, where nothing holds it any more.
func (r *runner) release() error {
	now := r.now().UTC()
	for _, rule := range r.rulesNow() {
		h := r.held[rule.Name]
		if h == nil || h.Count == 0 || rule.holds(now, h.Last) {
			continue
		}
		a := h.Latest
		a.Made, a.HeldBack = now, h.Count-1
		if err := r.add(a, &rule, h); err != nil {
			return err
		}
	}
	return nil
}

// begin begins what is due on ways out that are free.
func (r *runner) begin(ctx context.Context) error {
	for put := true; put; { // what was put off may have been before another one
		put = false
		now := r.now().UTC()
		due, err := r.store.Due(now)
		if err != nil {
			return err
		}
		for _, d := range due {
			if r.busy[d.Way] {
				continue
			}
			if until := r.quietUntil(d.Alert.Rule, now); until.After(now) {
				d.Due, d.Changed, put = until, now, true
				if err := r.store.Mark(d); err != nil {
					return err
				}
				continue
			}
			if done, ok := r.toldBefore(d); ok {
				if err := r.store.Mark(done); err != nil {
					return err
				}
				delete(r.told, told{d.Alert.Rule, d.Way})
				put = true
				continue
			}
			if err := r.attempt(ctx, d, now); err != nil {
				return err
			}
		}
	}
	return nil
}

// attempt marks a delivery as begun and begins it.
func (r *runner) attempt(ctx context.Context, d Delivery, now time.Time) error {
	before := d.MaybeSent
	d.Attempts++
	d.MaybeSent, d.Changed = true, now
	if err := r.store.Mark(d); err != nil {
		return err
	}
	way := r.way(d.Way)
	r.busy[d.Way] = true
	go func() {
		reply, err := way.Send(ctx, Message{d.Alert, before})
		r.results <- result{delivery: d, before: before, reply: reply, err: err, stopped: ctx.Err() != nil}
	}()
	return nil
}

// finish marks what came of an attempt.
func (r *runner) finish(done result) {
	d, now := done.delivery, r.now().UTC()
	d.Changed, d.Reply = now, done.reply
	if isNotSent(done.err) {
		d.MaybeSent = done.before
	}
	switch {
	case done.err == nil:
		d.State, d.MaybeSent = Delivered, false
	case done.stopped: // it is due still
		d.Reply = done.err.Error()
	default:
		d.Reply = done.err.Error()
		d.Due = now.Add(pauseAfter(d.Attempts))
		if now.Sub(d.Alert.Made) >= keptTrying {
			d.State = GivenUp
			r.log.Error("an alert is given up", "way", d.Way, "rule", d.Alert.Rule, "attempts", d.Attempts, "error", done.err)
		} else {
			r.log.Warn("an alert was not delivered", "way", d.Way, "rule", d.Alert.Rule, "again", d.Due, "error", done.err)
		}
	}
	if done.unstored {
		r.toldWas(d)
		return
	}
	r.unkept = append(r.unkept, d)
	r.troubled(r.markUnkept())
}

// markUnkept marks results. Until its result is marked a way out is busy, so that nothing is sent twice.
func (r *runner) markUnkept() error {
	var failed error
	r.unkept = slices.DeleteFunc(r.unkept, func(d Delivery) bool {
		if err := r.store.Mark(d); err != nil {
			failed = err
			return false
		}
		delete(r.busy, d.Way)
		return true
	})
	return failed
}

// stop waits for what is under way, which ends with Run's context, and keeps what there is.
func (r *runner) stop() error {
	for r.underWay() > 0 {
		r.finish(<-r.results)
	}
	return errors.Join(r.markUnkept(), r.keep())
}

func (r *runner) underWay() int { return len(r.busy) - len(r.unkept) }

// troubled logs when the store begins to fail and when it works again.
func (r *runner) troubled(err error) {
	if err != nil && !r.failing {
		r.log.Error("alerts cannot be kept; they wait", "error", err)
	} else if err == nil && r.failing {
		r.log.Info("alerts are kept again")
	}
	r.failing = err != nil
}

func (r *runner) heldOf(rule string) *Held {
	h := r.held[rule]
	if h == nil {
		h = &Held{Rule: rule}
		r.held[rule] = h
	}
	return h
}

// rule is one of the configuration, or nil. The lock is held.
func (r *runner) rule(name string) *Rule {
	for i := range r.rules {
		if r.rules[i].Name == name {
			return &r.rules[i].Rule
		}
	}
	return nil
}

func (r *runner) rulesNow() []Rule {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	all := make([]Rule, len(r.rules))
	for i := range r.rules {
		all[i] = r.rules[i].Rule
	}
	return all
}

func (r *runner) quietUntil(rule string, now time.Time) time.Time {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	if c := r.rule(rule); c != nil {
		return quietUntil(c.Quiet, now)
	}
	return now
}

// way is a way out by its name.
func (r *runner) way(name string) Way {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	if w := r.ways[name]; w != nil {
		return w
	}
	return noWay(name)
}

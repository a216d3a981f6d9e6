package alerts

// An alert that the archive cannot be written would be told when it can be. So it is told once on each way out before it is in the
// store, and what came of that is kept with it afterwards. A program that is killed between the two steps of the latter tells it again.

// tellsOfStore says of an alert that it may tell why the store fails.
func tellsOfStore(w What) bool { return w == DiskFull || w == NotKept }

// told says on which way out an alert of a rule was told without the store.
type told struct{ rule, way string }

// tell begins an attempt on each way out, the first time that the store fails to take an alert of the rule.
func (r *runner) tell(q queued) {
	if !tellsOfStore(q.What) || q.rule.holds(q.Made, r.heldOf(q.Alert.Rule).Last) {
		return
	}
	for _, way := range q.rule.Ways {
		k := told{q.Alert.Rule, way}
		if _, ok := r.told[k]; ok || r.busy[way] || r.ctx.Err() != nil {
			continue
		}
		d := Delivery{Alert: q.Alert, Way: way, State: Pending, Attempts: 1, MaybeSent: true, Due: q.Made}
		r.told[k], r.busy[way] = d, true
		w := r.way(way)
		go func() {
			reply, err := w.Send(r.ctx, Message{d.Alert, false})
			r.results <- result{delivery: d, reply: reply, err: err, stopped: r.ctx.Err() != nil, unstored: true}
		}()
	}
}

// toldWas notes what came of an attempt.
func (r *runner) toldWas(d Delivery) {
	delete(r.busy, d.Way)
	k := told{d.Alert.Rule, d.Way}
	if old, ok := r.told[k]; ok {
		d.Alert.ID = old.Alert.ID // by now it may be in the store
		r.told[k] = d
	}
}

// kept notes that the store has taken an alert.
func (r *runner) kept(a Alert, id int64) {
	for k, d := range r.told {
		if b := d.Alert; b.ID == 0 && b.Rule == a.Rule && b.Made.Equal(a.Made) && b.UTC.Equal(a.UTC) && b.Detail == a.Detail {
			d.Alert.ID = id
			r.told[k] = d
		}
	}
}

// forgetTold forgets what another alert has come to stand for, when the store has taken all.
func (r *runner) forgetTold() {
	for k, d := range r.told {
		if d.Alert.ID == 0 && !r.busy[k.way] {
			delete(r.told, k)
		}
	}
}

// toldBefore is a delivery with what came of the attempt before the store had it.
func (r *runner) toldBefore(d Delivery) (Delivery, bool) {
	x, ok := r.told[told{d.Alert.Rule, d.Way}]
	if !ok || x.Alert.ID != d.Alert.ID {
		return d, false
	}
	d.State, d.Due, d.Attempts, d.MaybeSent, d.Changed, d.Reply = x.State, x.Due, x.Attempts, x.MaybeSent, x.Changed, x.Reply
	return d, true
}

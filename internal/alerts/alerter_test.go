package alerts_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"ionoscribe/internal/alerts"
	"ionoscribe/internal/alerts/alertstest"
)

func TestConditions(t *testing.T) {
	p, c := new(peer), noon()
	rule := func(r alerts.Rule) alerts.Rule { r.Ways = []string{"p"}; return r }
	rules := []alerts.Rule{
		rule(alerts.Rule{Name: "gale", Text: []string{"gale warning"}, Receivers: []string{"north"}}),
		rule(alerts.Rule{Name: "elsewhere", Text: []string{"gale"}, Receivers: []string{"south"}}),
		rule(alerts.Rule{Name: "missed", Programme: []alerts.What{alerts.EntryMissed}, Entries: []string{"e1"}}),
		rule(alerts.Rule{Name: "new", Signal: &alerts.Range{FromHz: 4e6, ToHz: 5e6}, Modes: []string{"cw"}}),
		rule(alerts.Rule{Name: "receivers", Receiver: []alerts.What{alerts.Silent, alerts.ClockRuns}}),
		rule(alerts.Rule{Name: "tune", Station: []alerts.What{alerts.TuneFailed}}),
	}
	for i := range rules {
		if faults := rules[i].Check([]string{"p"}); len(faults) > 0 {
			t.Errorf("rule %s: %v", rules[i].Name, faults)
		}
	}
	r := run(t, alerts.Config{Rules: rules, Ways: map[string]alerts.Way{"p": p}, Store: new(alertstest.Memory), Now: c.now})
	r.text(1, "NIL GALE\nWARN")
	r.text(2, "ING ") // of another transmission
	r.text(1, "ING")
	r.Consider(alerts.Event{What: alerts.SignalEnded, Receiver: "north", Transmission: 1})
	for _, e := range []alerts.Event{
		{What: alerts.EntryMissed, Entry: "e2"},
		{What: alerts.EntryCame, Entry: "e1"},
		{What: alerts.EntryMissed, Entry: "e1", Title: "Morning chart", Receiver: "north"},
		{What: alerts.SignalBegan, FrequencyHz: 3.9e6, Mode: "cw"},
		{What: alerts.SignalBegan, FrequencyHz: 4e6, Mode: "rtty"},
		{What: alerts.SignalBegan, FrequencyHz: 4e6, Mode: "cw"},
		{What: alerts.Overloaded, Receiver: "north"},
		{What: alerts.Silent, Receiver: "north", Detail: "no samples for 60 s"},
		{What: alerts.ClockRuns, Receiver: "south"},
		{What: alerts.DiskFull},
		{What: alerts.TuneFailed},
	} {
		r.Consider(e)
	}
	want := []string{
		"gale: Words received on 4583.0 kHz in cw, receiver north",
		"missed: Did not come: Morning chart, receiver north",
		"new: New signal on 4000.0 kHz in cw",
		"receivers: Receiver is silent, receiver north",
		"receivers: Receiver's clock runs away, receiver south",
		"tune: Tuning failed",
	}
	until(t, "all have come", func() bool { return len(p.messages()) >= len(want) })
	for i, m := range p.messages() {
		if got := m.Rule + ": " + m.Summary; i >= len(want) || got != want[i] {
			t.Errorf("message %d is %q", i, got)
		}
	}
	if m := p.messages()[0]; m.Match != "GALE WARNING" || m.Excerpt != "NIL GALE WARNING" || m.Station != "Inselwacht" || m.ID == 0 ||
		m.Transmission != 1 || m.UTC.Hour() != 11 || !m.Made.Equal(c.now()) {
		t.Errorf("the first message is %+v", m)
	}
}

// An attempt that failed is tried again after growing pauses, for a day, also by a station that was started again.
func TestRetries(t *testing.T) {
	c, store := noon(), new(alertstest.Memory)
	p := &peer{answer: func(int, context.Context) error { return errNo }}
	config := alerts.Config{Rules: []alerts.Rule{tuneRule("p")}, Ways: map[string]alerts.Way{"p": p}, Store: store, Now: c.now}
	r := run(t, config)
	begin := c.now()
	r.Consider(tune(1))
	last, pause := begin, time.Duration(0)
	for n := 1; ; n++ {
		until(t, fmt.Sprint("attempt ", n), func() bool {
			d := store.Deliveries()
			return len(d) == 1 && d[0].Attempts == n && d[0].Reply == "no" && (d[0].Due.After(c.now()) || d[0].State != alerts.Pending)
		})
		d := store.Deliveries()[0]
		if n%5 == 0 {
			r.stop()
			r = run(t, config)
		}
		if d.State == alerts.GivenUp {
			if since := c.now().Sub(begin); since < 24*time.Hour || since > 25*time.Hour || n < 20 || n > 40 {
				t.Errorf("given up after %v and %d attempts", since, n)
			}
			break
		}
		next := d.Due.Sub(last)
		if next < pause || next > time.Hour || n == 1 && next > time.Minute {
			t.Fatalf("pause %d is %v, after %v", n, next, pause)
		}
		c.set(d.Due.Add(-time.Millisecond)) // not yet
		time.Sleep(5 * time.Millisecond)
		if len(p.messages()) != n {
			t.Fatalf("attempt %d is too early", n+1)
		}
		last, pause = d.Due, next
		c.set(d.Due)
	}
	c.forward(48 * time.Hour)
	time.Sleep(20 * time.Millisecond)
	got := p.messages()
	if n := store.Deliveries()[0].Attempts; len(got) != n {
		t.Errorf("%d messages of %d attempts", len(got), n)
	}
	for i, m := range got { // "no" may have come from one who has it
		if m.Repeated != (i > 0) {
			t.Errorf("message %d: repeated is %t", i, m.Repeated)
		}
	}
}

// What cannot have arrived is no repetition.
func TestNotSent(t *testing.T) {
	c, store := noon(), new(alertstest.Memory)
	p := &peer{answer: func(n int, _ context.Context) error {
		if n < 3 {
			return fmt.Errorf("down: %w", alerts.ErrNotSent)
		}
		return nil
	}}
	r := run(t, alerts.Config{Rules: []alerts.Rule{tuneRule("p")}, Ways: map[string]alerts.Way{"p": p}, Store: store, Now: c.now})
	r.Consider(tune(1))
	for n := 1; n <= 3; n++ {
		until(t, "an attempt is marked", func() bool { return len(p.messages()) == n && !store.Deliveries()[0].MaybeSent })
		settled(t, store, c.now)
		c.forward(time.Hour)
	}
	if got := details(p.messages()); got != "1 1 1" {
		t.Errorf("sent: %s", got)
	}
	if d := store.Deliveries()[0]; d.State != alerts.Delivered || d.Reply != "taken" || d.Attempts != 3 {
		t.Errorf("delivery %+v", d)
	}
}

// A program that dies between sending and marking sends again, marked, and only that.
func TestCrash(t *testing.T) {
	c, memory, p := noon(), new(alertstest.Memory), new(peer)
	config := alerts.Config{Rules: []alerts.Rule{tuneRule("p")}, Ways: map[string]alerts.Way{"p": p}, Now: c.now}
	// The first alert is added, begun and marked as delivered; the second added, begun and sent.
	store := &dying{Store: memory, left: 5}
	config.Store = store
	r := run(t, config)
	r.Consider(tune(1))
	until(t, "the first is delivered", func() bool { d := memory.Deliveries(); return len(d) == 1 && d[0].State == alerts.Delivered })
	r.Consider(tune(2))
	until(t, "the program dies", store.isDead)
	r.stop()

	config.Store = memory
	r = run(t, config)
	r.Consider(tune(3))
	until(t, "the third is delivered", func() bool { d := memory.Deliveries(); return len(d) == 3 && d[2].State == alerts.Delivered })
	if got := details(p.messages()); got != "1 2 2* 3" {
		t.Errorf("sent: %s", got)
	}
}

// Of programs that die at any operation no alert that was kept is lost, and none arrives again without a mark.
func TestManyCrashes(t *testing.T) {
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 1))
		c, memory := noon(), new(alertstest.Memory)
		answer := func(int, context.Context) error {
			if rng.IntN(4) == 0 { // one attempt at a time on each; the two share no generator
				return errNo
			}
			return nil
		}
		other := rand.New(rand.NewPCG(seed, 2))
		ways := map[string]*peer{"p": {answer: answer}, "q": {answer: func(int, context.Context) error {
			if other.IntN(4) == 0 {
				return fmt.Errorf("down: %w", alerts.ErrNotSent)
			}
			return nil
		}}}
		lives := rand.New(rand.NewPCG(seed, 3))
		sent := 0
		for life := range 12 {
			store := &dying{Store: memory, left: lives.IntN(15)}
			if life == 11 {
				store.left = -1
			}
			r := run(t, alerts.Config{Rules: []alerts.Rule{tuneRule("p", "q")}, Ways: map[string]alerts.Way{"p": ways["p"], "q": ways["q"]}, Store: store, Now: c.now})
			for range 3 {
				sent++
				r.Consider(tune(sent))
			}
			done := func() bool {
				for _, d := range memory.Deliveries() {
					if d.State == alerts.Pending {
						return false
					}
				}
				return true
			}
			until(t, "all is done, or the program is dead", func() bool {
				c.forward(time.Minute)
				return store.isDead() || life == 11 && len(memory.Deliveries()) >= 6 && done()
			})
			r.stop()
		}
		arrived := map[string]int{}
		for name, all := range map[string][]alerts.Message{"p": ways["p"].messages(), "q": ways["q"].taken} {
			for _, m := range all {
				key := fmt.Sprint(name, m.ID)
				if arrived[key]++; arrived[key] > 1 && !m.Repeated {
					t.Errorf("seed %d: %s arrives again on %s without a mark", seed, m.Detail, name)
				}
			}
		}
		for _, d := range memory.Deliveries() {
			if d.State != alerts.Delivered || arrived[fmt.Sprint(d.Way, d.Alert.ID)] == 0 {
				t.Errorf("seed %d: %s on %s is %s, arrived %d times", seed, d.Alert.Detail, d.Way, d.State, arrived[fmt.Sprint(d.Way, d.Alert.ID)])
			}
		}
	}
}

// A store that fails for a while loses nothing.
func TestStoreFails(t *testing.T) {
	c, memory, p := noon(), new(alertstest.Memory), new(peer)
	store := &dying{Store: memory}
	r := run(t, alerts.Config{Rules: []alerts.Rule{tuneRule("p")}, Ways: map[string]alerts.Way{"p": p}, Store: store, Now: c.now})
	const total = alerts.MostQueued + 50
	for n := range total {
		r.Consider(tune(n))
	}
	until(t, "the store has failed", store.isDead)
	store.mutex.Lock()
	store.dead, store.left = false, -1
	store.mutex.Unlock()
	told := func() (n int) {
		for _, m := range p.messages() {
			n += 1 + m.HeldBack
		}
		return n
	}
	until(t, "all are told", func() bool { return told() == total })
	got := p.messages()
	if last := got[len(got)-1]; len(got) > 2*alerts.MostQueued || last.Detail != fmt.Sprint("number ", total-1) {
		t.Errorf("%d messages, the last one %+v", len(got), last)
	}
}

// A flood of alerts that are held back costs the store few operations and keeps no delivery waiting.
func TestFlood(t *testing.T) {
	c, memory, p, q := noon(), new(alertstest.Memory), new(peer), new(peer)
	store := &dying{Store: memory, left: 1e6}
	flood, other := tuneRule("p"), alerts.Rule{Name: "disk", Station: []alerts.What{alerts.DiskFull}, Ways: []string{"q"}}
	flood.LeastInterval = alerts.Duration(time.Hour)
	r := run(t, alerts.Config{Rules: []alerts.Rule{flood, other}, Ways: map[string]alerts.Way{"p": p, "q": q}, Store: store, Now: c.now})
	const total = 20000
	for n := range total {
		r.Consider(tune(n))
		if n == total/2 {
			r.Consider(alerts.Event{What: alerts.DiskFull})
		}
	}
	until(t, "the other one arrives", func() bool { return len(q.messages()) == 1 })
	until(t, "all are counted", func() bool {
		h, _ := memory.Held()
		return len(h) == 2 && h[1].Count == total-1 && h[1].Latest.Detail == fmt.Sprint("number ", total-1)
	})
	c.forward(time.Hour)
	until(t, "the count arrives", func() bool { return len(p.messages()) == 2 })
	if got, want := details(p.messages()), fmt.Sprintf("0 %d+%d", total-1, total-2); got != want {
		t.Errorf("sent: %s, want %s", got, want)
	}
}

// In quiet hours, over midnight, nothing goes out; behind them the latest does, with the count of the others.
func TestQuiet(t *testing.T) {
	c, store, p := noon(), new(alertstest.Memory), new(peer)
	rule := tuneRule("p")
	rule.Quiet = []alerts.Hours{{From: 22 * 60, To: 6 * 60}}
	day := time.Date(2026, 11, 27, 0, 0, 0, 0, time.UTC)
	config := alerts.Config{Rules: []alerts.Rule{rule}, Ways: map[string]alerts.Way{"p": p}, Store: store, Now: c.now}
	held := func(n int) {
		t.Helper()
		until(t, fmt.Sprint(n, " are held back"), func() bool { h, _ := store.Held(); return len(h) == 1 && h[0].Count == n })
	}
	c.set(day.Add(22 * time.Hour))
	r := run(t, config)
	r.Consider(tune(1))
	held(1)
	c.set(day.Add(25 * time.Hour))
	r.Consider(tune(2))
	held(2)
	r.stop()
	r = run(t, config)
	r.Consider(tune(3))
	held(3)
	c.set(day.Add(30*time.Hour - time.Second))
	time.Sleep(10 * time.Millisecond)
	if got := details(p.messages()); got != "" {
		t.Errorf("sent in quiet hours: %s", got)
	}
	c.set(day.Add(30 * time.Hour))
	until(t, "it goes out", func() bool { return len(p.messages()) == 1 })
	r.Consider(tune(4))
	until(t, "the next one goes out", func() bool { return len(p.messages()) == 2 })
	if got := details(p.messages()); got != "3+2 4" {
		t.Errorf("sent: %s", got)
	}
}

// A delivery that failed is not tried in quiet hours.
func TestQuietRetry(t *testing.T) {
	c, store := noon(), new(alertstest.Memory)
	p := &peer{answer: func(n int, _ context.Context) error {
		if n == 1 {
			return errNo
		}
		return nil
	}}
	rule := tuneRule("p")
	rule.Quiet = []alerts.Hours{{From: 12*60 + 1, To: 13 * 60}}
	r := run(t, alerts.Config{Rules: []alerts.Rule{rule}, Ways: map[string]alerts.Way{"p": p}, Store: store, Now: c.now})
	begin := c.now()
	r.Consider(tune(1))
	until(t, "it has failed", func() bool { d := store.Deliveries(); return len(d) == 1 && d[0].Reply == "no" })
	c.set(begin.Add(30 * time.Minute))
	settled(t, store, c.now)
	if d := store.Deliveries()[0]; !d.Due.Equal(begin.Add(time.Hour)) || d.Attempts != 1 {
		t.Errorf("in quiet hours: %+v", d)
	}
	c.set(begin.Add(time.Hour))
	until(t, "it is tried again", func() bool { return store.Deliveries()[0].State == alerts.Delivered })
}

func TestLeastInterval(t *testing.T) {
	c, store, p := noon(), new(alertstest.Memory), new(peer)
	rule := tuneRule("p")
	rule.LeastInterval = alerts.Duration(10 * time.Minute)
	config := alerts.Config{Rules: []alerts.Rule{rule}, Ways: map[string]alerts.Way{"p": p}, Store: store, Now: c.now}
	r := run(t, config)
	held := func(n int) {
		t.Helper()
		until(t, fmt.Sprint(n, " are held back"), func() bool { h, _ := store.Held(); return len(h) == 1 && h[0].Count == n })
	}
	sent := func(n int) {
		t.Helper()
		until(t, fmt.Sprint(n, " are sent"), func() bool { return len(p.messages()) == n })
	}
	r.Consider(tune(1))
	sent(1)
	c.forward(9 * time.Minute)
	r.Consider(tune(2))
	r.Consider(tune(3))
	held(2)
	r.stop() // the interval is known behind a start
	r = run(t, config)
	r.Consider(tune(4))
	held(3)
	c.forward(time.Minute)
	sent(2)
	c.forward(10 * time.Minute)
	r.Consider(tune(5))
	sent(3)
	// Where the clock is put back nothing is held until it has made up for it.
	c.forward(-time.Hour)
	r.Consider(tune(6))
	sent(4)
	if got := details(p.messages()); got != "1 4+2 5 6" {
		t.Errorf("sent: %s", got)
	}
}

// A slow way out blocks neither another one nor the caller, and ends with Run.
func TestSlowWay(t *testing.T) {
	c, store, quick := noon(), new(alertstest.Memory), new(peer)
	slow := &peer{answer: func(_ int, ctx context.Context) error { <-ctx.Done(); return ctx.Err() }}
	config := alerts.Config{
		Rules: []alerts.Rule{tuneRule("slow", "quick")}, Ways: map[string]alerts.Way{"slow": slow, "quick": quick}, Store: store, Now: c.now,
	}
	r := run(t, config)
	for n := range 20 {
		r.Consider(tune(n + 1))
	}
	until(t, "the quick way has all", func() bool { return len(quick.messages()) == 20 })
	if n := len(slow.messages()); n > 1 {
		t.Errorf("%d attempts at a time on one way out", n)
	}
	if err := r.stop(); err != nil {
		t.Errorf("Run: %v", err)
	}
	// What was cut short is tried again at once, marked.
	slow.mutex.Lock()
	slow.answer = nil
	slow.mutex.Unlock()
	run(t, config)
	until(t, "the slow way has all", func() bool { return len(slow.messages()) == 21 })
	if m := slow.messages(); m[1].Detail != "number 1" || !m[1].Repeated || m[2].Repeated {
		t.Errorf("sent: %s", details(m))
	}
	if n := len(quick.messages()); n != 20 {
		t.Errorf("the quick way got %d", n)
	}
}

// What was considered before the end is kept, though nobody can send it any more.
func TestKeptAtEnd(t *testing.T) {
	c, store := noon(), new(alertstest.Memory)
	a, err := alerts.New(alerts.Config{Rules: []alerts.Rule{tuneRule("p")}, Store: store, Now: c.now})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	a.Consider(tune(1))
	a.Consider(tune(2))
	if err := a.Run(ctx); err != nil {
		t.Fatal(err)
	}
	if n := len(store.Deliveries()); n != 2 {
		t.Errorf("%d deliveries", n)
	}
}

func TestChange(t *testing.T) {
	c, store, p := noon(), new(alertstest.Memory), new(peer)
	r := run(t, alerts.Config{Rules: []alerts.Rule{tuneRule("p")}, Store: store, Now: c.now}) // without the way out
	r.Consider(tune(1))
	until(t, "it fails", func() bool { d := store.Deliveries(); return len(d) == 1 && d[0].Reply != "" })
	if d := store.Deliveries()[0]; d.State != alerts.Pending || d.MaybeSent {
		t.Errorf("without a way out: %+v", d)
	}
	other := alerts.Rule{Name: "gale", Text: []string{"gale"}, Ways: []string{"p"}}
	if err := r.Change([]alerts.Rule{other}, map[string]alerts.Way{"p": p}); err != nil {
		t.Fatal(err)
	}
	r.Consider(tune(2)) // nobody asks any more
	r.text(1, "GALE ")
	c.forward(time.Hour)
	until(t, "both arrive", func() bool { return len(p.messages()) == 2 })
	if err := r.Change([]alerts.Rule{{Name: "x", Text: []string{"*"}}}, nil); err == nil {
		t.Error("a rule that is none is taken into use")
	}
}

// However many texts never end, a bounded number is followed, and the latest are.
func TestTextsForgotten(t *testing.T) {
	c, p := noon(), new(peer)
	rule := alerts.Rule{Name: "gale", Text: []string{"gale"}, Ways: []string{"p"}}
	r := run(t, alerts.Config{Rules: []alerts.Rule{rule}, Ways: map[string]alerts.Way{"p": p}, Store: new(alertstest.Memory), Now: c.now})
	for n := range int64(alerts.MostTexts + 100) {
		r.text(n, "GA")
	}
	r.text(5, "LE ")                   // forgotten
	r.text(alerts.MostTexts+50, "LE ") // not
	until(t, "one is found", func() bool { return len(p.messages()) > 0 })
	if n := r.Texts(); n != alerts.MostTexts {
		t.Errorf("%d texts are followed", n)
	}
	if m := p.messages(); len(m) != 1 || m[0].Transmission != alerts.MostTexts+50 {
		t.Errorf("found: %+v", m)
	}
}

func TestTest(t *testing.T) {
	good, bad := new(peer), &peer{answer: func(int, context.Context) error { return errNo }}
	config := alerts.Config{Station: "Inselwacht", Rules: []alerts.Rule{tuneRule("good", "bad", "none")}, Ways: map[string]alerts.Way{"good": good, "bad": bad}}
	replies, err := alerts.Test(context.Background(), config, "tune")
	if err != nil || len(replies) != 3 {
		t.Fatal(replies, err)
	}
	if r := replies[0]; r.Way != "good" || r.Reply != "taken" || r.Err != nil {
		t.Errorf("%+v", r)
	}
	if r := replies[1]; r.Way != "bad" || r.Err != errNo {
		t.Errorf("%+v", r)
	}
	if r := replies[2]; r.Way != "none" || r.Err == nil {
		t.Errorf("%+v", r)
	}
	if m := good.messages(); len(m) != 1 || !m[0].Test || m[0].Rule != "tune" || m[0].What != alerts.TuneFailed || m[0].Station != "Inselwacht" {
		t.Errorf("sent: %+v", m)
	}
	if _, err := alerts.Test(context.Background(), config, "disc"); err == nil {
		t.Error("a rule that there is not is tested")
	}
}

// An alert of a full disk, which the store cannot take for that very reason, is told all the same, once; when the store works
// again it stands there as delivered. Others wait.
func TestToldWithoutStore(t *testing.T) {
	c, memory, p := noon(), new(alertstest.Memory), new(peer)
	store := &dying{Store: memory} // from now on
	other := alerts.Rule{Name: "receivers", Receiver: []alerts.What{alerts.Silent}, Ways: []string{"p"}}
	r := run(t, alerts.Config{Rules: []alerts.Rule{{Name: "disk", Station: []alerts.What{alerts.DiskFull}, Ways: []string{"p"}}, other}, Ways: map[string]alerts.Way{"p": p}, Store: store, Now: c.now})
	r.Consider(alerts.Event{What: alerts.Silent, UTC: c.now(), Receiver: "north"})
	r.Consider(alerts.Event{What: alerts.DiskFull, UTC: c.now()})
	until(t, "the full disk is told", func() bool { return len(p.messages()) == 1 })
	time.Sleep(3 * time.Second / 2) // longer than it takes until the store is tried again
	if got := p.messages(); len(got) != 1 || got[0].What != alerts.DiskFull || got[0].Repeated {
		t.Errorf("%+v", got)
	}
	store.mutex.Lock()
	store.dead, store.left = false, -1
	store.mutex.Unlock()
	until(t, "the other is told", func() bool { return len(p.messages()) == 2 })
	until(t, "both are delivered", func() bool { return countOf(memory, alerts.Delivered) == 2 })
	if got := p.messages(); len(got) != 2 || got[1].What != alerts.Silent {
		t.Errorf("%+v", got)
	}
}

// A delivery that waits for its next attempt does not wait longer when the clock is put back.
func TestClockPutBack(t *testing.T) {
	c, memory := noon(), new(alertstest.Memory)
	p := &peer{answer: func(n int, _ context.Context) error {
		if n == 1 {
			return errNo
		}
		return nil
	}}
	r := run(t, alerts.Config{Rules: []alerts.Rule{tuneRule("p")}, Ways: map[string]alerts.Way{"p": p}, Store: memory, Now: c.now})
	r.Consider(tune(1))
	until(t, "it was tried in vain", func() bool { return len(p.messages()) == 1 && countOf(memory, alerts.Pending) == 1 })
	c.forward(-time.Hour)
	until(t, "it is delivered", func() bool { return countOf(memory, alerts.Delivered) == 1 })
	if n := len(p.messages()); n != 2 {
		t.Errorf("%d messages", n)
	}
}

// countOf is how many deliveries are in a state.
func countOf(m *alertstest.Memory, s alerts.State) (n int) {
	for _, d := range m.Deliveries() {
		if d.State == s {
			n++
		}
	}
	return n
}

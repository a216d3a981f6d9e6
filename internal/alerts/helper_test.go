package alerts_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"ionoscribe/internal/alerts"
	"ionoscribe/internal/alerts/alertstest"
)

// TestMain runs the tests, or is the command that they send alerts by.
func TestMain(m *testing.M) {
	if what := os.Getenv("ALERTS_TEST_COMMAND"); what != "" {
		beCommand(what)
	}
	os.Exit(m.Run())
}

// clock is put forward by tests.
type clock struct {
	mutex sync.Mutex
	at    time.Time
}

func (c *clock) now() time.Time {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	return c.at
}

func (c *clock) set(t time.Time) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.at = t
}

func (c *clock) forward(d time.Duration) { c.set(c.now().Add(d)) }

func noon() *clock { return &clock{at: time.Date(2026, 11, 27, 12, 0, 0, 0, time.UTC)} }

// peer is a way out that keeps what it gets.
type peer struct {
	answer func(n int, ctx context.Context) error // to the message with the number n, from 1; nil: all are taken
	mutex  sync.Mutex
	got    []alerts.Message
	taken  []alerts.Message // those to which the answer was nil
}

func (p *peer) Send(ctx context.Context, m alerts.Message) (string, error) {
	p.mutex.Lock()
	p.got = append(p.got, m)
	n := len(p.got)
	p.mutex.Unlock()
	if p.answer != nil {
		if err := p.answer(n, ctx); err != nil {
			return "", err
		}
	}
	p.mutex.Lock()
	p.taken = append(p.taken, m)
	p.mutex.Unlock()
	return "taken", nil
}

func (p *peer) messages() []alerts.Message {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	return append([]alerts.Message(nil), p.got...)
}

// running is an Alerter that runs until stop.
type running struct {
	*alerts.Alerter
	t      *testing.T
	cancel context.CancelFunc
	done   chan error
}

func run(t *testing.T, c alerts.Config) *running {
	t.Helper()
	c.Station = "Inselwacht"
	a, err := alerts.New(c)
	if err != nil {
		t.Fatal(err)
	}
	a.FastTick()
	ctx, cancel := context.WithCancel(context.Background())
	r := &running{a, t, cancel, make(chan error, 1)}
	go func() { r.done <- a.Run(ctx) }()
	t.Cleanup(func() {
		if r.done != nil {
			r.stop()
		}
	})
	return r
}

func (r *running) stop() error {
	r.t.Helper()
	r.cancel()
	select {
	case err := <-r.done:
		r.done = nil
		return err
	case <-time.After(20 * time.Second):
		r.t.Fatal("Run does not return")
		return nil
	}
}

// until waits until something is so.
func until(t *testing.T, what string, is func() bool) {
	t.Helper()
	for end := time.Now().Add(20 * time.Second); !is(); time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("never: %s", what)
		}
	}
}

// settled waits until no delivery is due and none is under way.
func settled(t *testing.T, m *alertstest.Memory, now func() time.Time) {
	t.Helper()
	until(t, "nothing is due", func() bool {
		due, _ := m.Due(now())
		return len(due) == 0
	})
}

// text feeds a text of a transmission.
func (r *running) text(transmission int64, s string) {
	for _, c := range s {
		r.Consider(alerts.Event{What: alerts.SignalText, UTC: time.Date(2026, 11, 27, 11, 59, 0, 0, time.UTC), Receiver: "north", Mode: "cw",
			FrequencyHz: 4583e3, Transmission: transmission, Text: string(c), Confidence: 0.99})
	}
}

func tune(n int) alerts.Event {
	return alerts.Event{What: alerts.TuneFailed, UTC: time.Date(2026, 11, 27, 11, 0, n, 0, time.UTC), Detail: fmt.Sprint("number ", n)}
}

func tuneRule(ways ...string) alerts.Rule {
	return alerts.Rule{Name: "tune", Station: []alerts.What{alerts.TuneFailed}, Ways: ways}
}

// details are what messages tell of, repeated ones with a star.
func details(messages []alerts.Message) string {
	var all []string
	for _, m := range messages {
		s := strings.TrimPrefix(m.Detail, "number ")
		if m.HeldBack > 0 {
			s += fmt.Sprintf("+%d", m.HeldBack)
		}
		if m.Repeated {
			s += "*"
		}
		all = append(all, s)
	}
	return strings.Join(all, " ")
}

var errNo = errors.New("no")

// dying is a store of a program that dies: from an operation on nothing reaches the disk any more.
type dying struct {
	alerts.Store
	mutex sync.Mutex
	left  int // operations that write; negative: it lives on
	dead  bool
}

var errDead = errors.New("the program is dead")

func (d *dying) write(f func() error) error {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	if d.dead || d.left == 0 {
		d.dead = true
		return errDead
	}
	d.left--
	return f()
}

func (d *dying) isDead() bool {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	return d.dead
}

func (d *dying) Add(a alerts.Alert, ways []string) (id int64, err error) {
	err = d.write(func() error { id, err = d.Store.Add(a, ways); return err })
	return id, err
}
func (d *dying) Hold(a alerts.Alert) error { return d.write(func() error { return d.Store.Hold(a) }) }
func (d *dying) Mark(x alerts.Delivery) error {
	return d.write(func() error { return d.Store.Mark(x) })
}
func (d *dying) Due(now time.Time) ([]alerts.Delivery, error) {
	if d.isDead() {
		return nil, errDead
	}
	return d.Store.Due(now)
}

// beCommand is the command of TestMain.
func beCommand(what string) {
	switch what {
	case "echo":
		fmt.Println(strings.Join(os.Args[1:], "|"))
		io.Copy(os.Stdout, os.Stdin)
	case "fail":
		fmt.Println("out of paper")
		os.Exit(3)
	case "sleep":
		time.Sleep(time.Minute)
	case "long":
		fmt.Print(strings.Repeat("long ", 100000))
	case "deaf":
	}
	os.Exit(0)
}

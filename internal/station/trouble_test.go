package station

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	_ "modernc.org/sqlite"

	"ionoscribe/copydesk"
	"ionoscribe/internal/alerts"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/programme"
	"ionoscribe/internal/stationfile"
)

// told are the alerts of a station's archive, by what they tell of; all must be delivered.
func told(t *testing.T, dir string) map[alerts.What]int {
	t.Helper()
	a, err := archive.OpenReader(dir)
	must(t, err)
	defer a.Close()
	all, err := a.Deliveries(t.Context(), time.Unix(1, 0), time.Now().AddDate(100, 0, 0))
	must(t, err)
	n := map[alerts.What]int{}
	for _, d := range all {
		n[d.Alert.What]++
		if d.State != alerts.Delivered {
			t.Errorf("%s is %s: %s", d.Alert.Summary, d.State, d.Reply)
		}
	}
	return n
}

var everything = []alerts.Rule{
	{Name: "receivers", Receiver: []alerts.What{alerts.Silent, alerts.Disconnected, alerts.ClockRuns, alerts.Overloaded}, Ways: []string{"w"}},
	{Name: "missed", Programme: []alerts.What{alerts.EntryMissed}, Ways: []string{"w"}},
	{Name: "disk", Station: []alerts.What{alerts.DiskFull, alerts.NotKept}, Ways: []string{"w"}},
}

var quietWay = []alerts.WayConfig{{Name: "w", Command: []string{"true"}}}

// The clock is set an hour forward and back again while a receiver is heard. With the next block all that is heard has the new time;
// rounds and retention go on; what is due in the hour that never was is missed once; a receiver that is silent is told of after as long as
// without, once each time.
func TestClockSet(t *testing.T) {
	f := &fake{begin: time.Date(2031, 5, 4, 12, 0, 0, 0, time.UTC)}
	dir := t.TempDir()
	c := &stationfile.Config{Name: "test", Receivers: []stationfile.Receiver{{Name: "a", Sound: time.Hour}}, Ways: quietWay, Alerts: everything,
		Programme: []programme.Entry{{ID: "x", Title: "X", Times: []programme.Clock{12*60 + 30}, Mode: "fax"}}}
	var s *Station
	script := func(ctx context.Context, take func(Block)) error {
		// play gives the rounds their time, which no one waits for else
		play := func(x []float32) {
			for len(x) > 0 {
				n := min(len(x), 5*rate)
				f.play(take, x[:n])
				x = x[n:]
				time.Sleep(10 * time.Millisecond)
			}
		}
		silence := func(seconds int) { play(make([]float32, seconds*rate)) }
		silence(40)
		f.step(time.Hour)
		silence(60)
		f.step(-time.Hour)
		silence(60)
		play(broadcast("rtty", 1, 1, strings.Repeat("GALE WARNING ", 8))[:15*rate])
		f.step(time.Hour)
		play(broadcast("rtty", 1, 16, strings.Repeat("GALE WARNING ", 8))[15*rate:])
		silence(40)
		f.step(-time.Hour)
		silence(60)
		return nil
	}
	s, err := Open(dir, c, Options{Now: f.now, running: f.running, Open: func(context.Context, stationfile.Receiver, float64) (*Input, error) { return f.input(script), nil }})
	must(t, err)
	worst := 0.0
	var last time.Time
	s.Follow(func(e News) {
		if e.What == copydesk.Text {
			worst = max(worst, math.Abs(e.UTC.Sub(f.begin.Add(duration(e.At)+f.shown)).Seconds()))
			last = e.UTC
		}
	})
	must(t, s.Run(t.Context()))
	if got := told(t, dir); got[alerts.Silent] != 2 || got[alerts.EntryMissed] != 1 || len(got) != 2 {
		t.Errorf("told: %v", got)
	}
	if end := f.now(); s.rounds.last.After(end) || end.Sub(s.rounds.last) > 2*roundEvery || s.rounds.kept.After(end) {
		t.Errorf("rounds at %v, retention at %v, now it is %v", s.rounds.last, s.rounds.kept, end)
	}
	if worst > 0.2 || last.Before(f.begin.Add(time.Hour)) {
		t.Errorf("UTC is off by %.3f s; the last character came at %v", worst, last)
	}
	a, err := archive.OpenReader(dir)
	must(t, err)
	defer a.Close()
	hits, err := a.Search(t.Context(), archive.Query{})
	must(t, err)
	for _, h := range hits {
		t.Logf("%v to %v, %d characters", h.Begun, h.Ended, h.Characters)
		if h.Ended.Before(h.Begun) || h.Ended.Sub(h.Begun) > time.Minute {
			t.Errorf("a transmission goes from %v to %v", h.Begun, h.Ended)
		}
	}
	if problems, err := a.Check(t.Context()); err != nil || len(problems) > 0 || len(hits) == 0 {
		t.Error(len(hits), problems, err)
	}
}

// A source that gives its samples late and in bursts, some that are no numbers, and stands still for a minute and a half, is heard all
// the same; that it stood still is told once. Health can be read at any time.
func TestStammer(t *testing.T) {
	f := &fake{begin: time.Date(2031, 5, 4, 12, 0, 0, 0, time.UTC)}
	dir := t.TempDir()
	c := &stationfile.Config{Name: "test", Receivers: []stationfile.Receiver{{Name: "a", Sound: time.Hour}}, Ways: quietWay, Alerts: everything}
	var s *Station
	script := func(ctx context.Context, take func(Block)) error {
		x := broadcast("rtty", 1, 20, strings.Repeat("GALE WARNING ", 6))
		for i := range 200 { // within what follows the text
			x[len(x)-2*rate-i] = []float32{float32(math.NaN()), float32(math.Inf(1)), float32(math.Inf(-1)), math.MaxFloat32}[i%4]
		}
		burst := func(n int) {
			n = min(n, len(x))
			f.mutex.Lock()
			f.done += int64(n)
			f.mutex.Unlock()
			take(Block{Audio: x[:n]})
			x = x[n:]
		}
		for i := 0; len(x) > 0; i++ { // bursts of 3 s, single samples, and nothing
			burst([]int{3 * rate, 1, 0, 17, rate / 2}[i%5])
		}
		if _, err := json.Marshal(s.Health()); err != nil {
			t.Error("health cannot be told:", err)
		}
		for range 9 { // time goes by, without samples
			f.mutex.Lock()
			f.begin = f.begin.Add(10 * time.Second)
			f.mutex.Unlock()
			s.tellMoved()
			time.Sleep(20 * time.Millisecond)
		}
		x = hiss(5, 2)
		burst(len(x))
		return nil
	}
	s, err := Open(dir, c, Options{Now: f.now, running: f.running, Open: func(context.Context, stationfile.Receiver, float64) (*Input, error) { return f.input(script), nil }})
	must(t, err)
	text := ""
	s.Follow(func(e News) {
		if e.What == copydesk.Text {
			text += e.Text
		}
	})
	must(t, s.Run(t.Context()))
	if !strings.Contains(strings.Join(strings.Fields(text), " "), "WARNING GALE WARNING GALE") {
		t.Errorf("%q", text)
	}
	if got := told(t, dir); got[alerts.Silent] != 1 || len(got) != 1 {
		t.Errorf("told: %v", got)
	}
}

// A source that comes for three seconds again and again is told of as disconnected, once; one that broke once is not.
func TestComesAndGoes(t *testing.T) {
	var mutex sync.Mutex
	now := time.Date(2031, 5, 4, 12, 0, 0, 0, time.UTC)
	clock := func() time.Time { mutex.Lock(); defer mutex.Unlock(); return now }
	r := &receiver{name: "a", now: clock, running: clock}
	r.hooks.opened, r.hooks.closed = func(*Input) {}, func(error) {}
	s, err := Open(t.TempDir(), &stationfile.Config{Name: "test"}, Options{Now: clock, running: clock})
	must(t, err)
	defer s.archive.Close()
	s.watches["a"] = &watch{receiver: r}
	s.rounds.ill, s.rounds.told = map[illness]time.Time{}, map[illness]bool{}
	seconds := func(n int, connected bool) {
		for range n {
			mutex.Lock()
			now = now.Add(time.Second)
			mutex.Unlock()
			if connected {
				r.mutex.Lock()
				r.moved = now
				if r.moved.Sub(r.holds) >= settledAfter {
					r.failed = time.Time{}
				}
				r.mutex.Unlock()
			}
			s.examine(now)
		}
	}
	in := live(nil)
	is := illness{"a", alerts.Disconnected}
	r.connected(in)
	seconds(100, true)
	r.disconnected(errors.New("it broke"), false)
	seconds(2, false)
	r.connected(in)
	seconds(100, true)
	if s.rounds.told[is] || !r.failed.IsZero() {
		t.Error("told, though it broke once")
	}
	for range 20 {
		r.disconnected(errors.New("it broke"), false)
		seconds(20, false)
		r.connected(in)
		seconds(3, true)
	}
	if !s.rounds.told[is] {
		t.Error("not told, though it comes and goes")
	}
	seconds(100, true)
	if s.rounds.told[is] {
		t.Error("it is well again, and still told as ill")
	}
}

// lockSeconds is how long another process locks the database; IONOSCRIBE_LOCK is another one.
const lockVariable, lockSeconds = "IONOSCRIBE_LOCK", 4

// While another program has locked the database, what is heard is kept, and health tells of it; then it is written. Receivers do not
// notice.
func TestDatabaseLocked(t *testing.T) {
	t.Parallel()
	long := lockSeconds * time.Second
	if d, err := time.ParseDuration(os.Getenv(lockVariable)); err == nil {
		long = d
	}
	f := &fake{begin: time.Now()}
	dir := t.TempDir()
	c := &stationfile.Config{Name: "test", Receivers: []stationfile.Receiver{{Name: "a"}}, Ways: quietWay, Alerts: everything}
	var s *Station
	script := func(ctx context.Context, take func(Block)) error {
		other, err := sql.Open("sqlite", filepath.Join(dir, archive.Name))
		must(t, err)
		defer other.Close()
		conn, err := other.Conn(ctx)
		must(t, err)
		_, err = conn.ExecContext(ctx, "PRAGMA busy_timeout = 5000; BEGIN IMMEDIATE")
		must(t, err)
		began, slowest := time.Now(), time.Duration(0)
		x := broadcast("rtty", 1, 16, strings.Repeat("GALE WARNING ", 6))
		for len(x) > 0 {
			n, at := min(len(x), rate/10), time.Now()
			f.play(take, x[:n])
			slowest = max(slowest, time.Since(at))
			x = x[n:]
		}
		eventually(t, "health tells of it", func() bool {
			h := s.Health()
			return !h.Well && strings.Contains(h.Trouble, "another program has locked it")
		})
		time.Sleep(time.Until(began.Add(long)))
		rows := s.Health().Pending
		_, err = conn.ExecContext(ctx, "ROLLBACK")
		must(t, err)
		free := time.Now()
		eventually(t, "all is written", func() bool { h := s.Health(); return h.Trouble == "" && h.Pending == 0 })
		t.Logf("locked for %v: a tenth of a second of sound took %v at most, %d rows waited, written %v after", time.Since(began), slowest, rows, time.Since(free))
		return nil
	}
	s, err := Open(dir, c, Options{Now: f.now, running: f.running, Open: func(context.Context, stationfile.Receiver, float64) (*Input, error) { return f.input(script), nil }})
	must(t, err)
	text := ""
	s.Follow(func(e News) {
		if e.What == copydesk.Text {
			text += e.Text
		}
	})
	must(t, s.Run(t.Context()))
	a, err := archive.OpenReader(dir)
	must(t, err)
	defer a.Close()
	hits, err := a.Search(t.Context(), archive.Query{Words: "gale"})
	must(t, err)
	if len(hits) != 1 || hits[0].Characters < len(strings.TrimSpace(text))-8 {
		t.Errorf("%d hits; %q", len(hits), text)
	}
}

// A folder in which another station runs, and a newer database, are one sentence.
func TestRefused(t *testing.T) {
	dir := t.TempDir()
	open := func() error {
		s, err := Open(dir, &stationfile.Config{Name: "test"}, Options{})
		if err == nil {
			s.archive.Close()
		}
		return err
	}
	a, err := archive.Open(dir, archive.Options{})
	must(t, err)
	says := func(err error, words string) {
		t.Helper()
		if err == nil || !strings.Contains(err.Error(), words) || strings.Contains(err.Error(), "\n") {
			t.Error(err)
		}
	}
	says(open(), "another program keeps this archive already; end that one, or choose another folder")
	must(t, a.Close())
	db, err := sql.Open("sqlite", filepath.Join(dir, archive.Name))
	must(t, err)
	_, err = db.Exec("PRAGMA user_version = 99")
	must(t, err)
	must(t, db.Close())
	says(open(), "it is of version 99, and this program knows")
	says(open(), "use the newer program that wrote it")
}

// A receiver whose decoders take all that a core has does not keep others from their samples.
func TestGreedy(t *testing.T) {
	c := &stationfile.Config{Name: "test", Receivers: []stationfile.Receiver{{Name: "greedy"}, {Name: "a"}, {Name: "b"}, {Name: "c"}}}
	var mutex sync.Mutex
	lag, blocks := map[string]time.Duration{}, 0
	ctx, cancel := context.WithCancel(t.Context())
	s, err := Open(t.TempDir(), c, Options{Open: func(_ context.Context, r stationfile.Receiver, _ float64) (*Input, error) {
		f := &fake{begin: time.Now()}
		x := broadcast("rtty", 1, 4, strings.Repeat("GALE WARNING ", 6))
		return f.input(func(ctx context.Context, take func(Block)) error {
			begin := time.Now()
			for at := 0; ctx.Err() == nil; at += rate / 10 {
				b := x[at%(len(x)-rate):][:rate/10]
				if r.Name != "greedy" {
					due := begin.Add(duration(int64(at + rate/10)))
					time.Sleep(time.Until(due))
					f.play(take, b)
					mutex.Lock()
					lag[r.Name] = max(lag[r.Name], time.Since(due))
					mutex.Unlock()
					continue
				}
				f.play(take, b)
				mutex.Lock()
				blocks++
				mutex.Unlock()
			}
			return ctx.Err()
		}), nil
	}})
	must(t, err)
	time.AfterFunc(2*time.Second, cancel)
	must(t, s.Run(ctx))
	mutex.Lock()
	defer mutex.Unlock()
	t.Logf("the greedy one copied %d s; the others lagged by %v at most", blocks/10, lag)
	for name, l := range lag {
		if l > 2*time.Second { // a source waits for ten
			t.Errorf("%s lagged by %v", name, l)
		}
	}
}

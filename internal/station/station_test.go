package station

import (
	"context"
	"errors"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"ionoscribe/internal/alerts"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/programme"
	"ionoscribe/internal/stationfile"
)

const rate = 8000

// live is a source that gives silence as time goes until it is broken.
func live(broken <-chan struct{}) *Input {
	begin := time.Now()
	at := func(sample int64) time.Time { return begin.Add(time.Duration(sample) * time.Second / rate) }
	return &Input{Path: "test", SampleRate: rate, Live: true, Time: at, TimeFrom: func() string { return "clock" },
		Each: func(ctx context.Context, take func(Block)) error {
			for {
				select {
				case <-ctx.Done():
					return ctx.Err()
				case <-broken:
					return errors.New("it is broken")
				case <-time.After(10 * time.Millisecond):
					take(Block{Audio: make([]float32, rate/100)})
				}
			}
		}}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// eventually waits until something is so.
func eventually(t *testing.T, what string, is func() bool) {
	t.Helper()
	for range 1000 {
		if is() {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Fatal("never: " + what)
}

func status(s *Station, name string) (st Status) {
	for _, r := range s.Status() {
		if r.Name == name {
			st = r
		}
	}
	return st
}

// One receiver that fails is opened again, with growing pauses, and the other does not notice; health tells of it. What is
// changed in the configuration is changed, and what is not goes on. The station stops at once.
func TestReceivers(t *testing.T) {
	broken := make(chan struct{})
	var opened, faulty atomic.Int32
	c := &stationfile.Config{Name: "test", Receivers: []stationfile.Receiver{{Name: "good", Source: "good"}, {Name: "bad", Source: "bad"}}}
	dir := t.TempDir()
	s, err := Open(dir, c, Options{Open: func(_ context.Context, r stationfile.Receiver, _ float64) (*Input, error) {
		switch {
		case r.Source == "good":
			opened.Add(1)
			return live(nil), nil
		case faulty.Add(1) == 1:
			return live(broken), nil
		}
		return nil, errors.New("it is unplugged")
	}})
	must(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- s.Run(ctx) }()
	eventually(t, "both receivers are connected", func() bool { return status(s, "good").Samples > 0 && status(s, "bad").Samples > 0 })
	close(broken)
	eventually(t, "the bad one was tried again in vain", func() bool { return status(s, "bad").Tries > 1 })
	if st := status(s, "bad"); st.Connected || st.Error != "it is unplugged" {
		t.Errorf("%+v", st)
	}
	if st := status(s, "good"); !st.Connected || st.Level != nil && st.Level.RMS != leastLevel || opened.Load() != 1 {
		t.Errorf("%+v, opened %d times", st, opened.Load())
	}
	if h := s.Health(); h.Well || len(h.Receivers) != 2 {
		t.Errorf("%+v", h)
	}
	metrics := httptest.NewRecorder()
	s.Metrics().ServeHTTP(metrics, httptest.NewRequest("GET", "/metrics", nil))
	for _, want := range []string{`ionoscribe_receiver_connected{receiver="bad"} 0`, `ionoscribe_receiver_connected{receiver="good"} 1`, "ionoscribe_archive_pending_rows"} {
		if !strings.Contains(metrics.Body.String(), want) {
			t.Errorf("no %s in the metrics", want)
		}
	}
	must(t, s.Change(&stationfile.Config{Name: "test", Receivers: []stationfile.Receiver{{Name: "good", Source: "good"}, {Name: "third", Source: "good"}}}))
	eventually(t, "the third receiver is connected", func() bool { return status(s, "third").Samples > 0 })
	if len(s.Status()) != 2 || opened.Load() != 2 {
		t.Errorf("%+v, opened %d times", s.Status(), opened.Load())
	}
	began := time.Now()
	cancel()
	if err := <-done; err != nil || time.Since(began) > 5*time.Second {
		t.Errorf("%v after %v", err, time.Since(began))
	}
	a, err := archive.OpenReader(dir)
	must(t, err)
	defer a.Close()
	incidents, err := a.Incidents(t.Context(), began.Add(-time.Hour), began.Add(time.Hour))
	must(t, err)
	var unplugged bool
	for _, i := range incidents {
		unplugged = unplugged || i.Receiver == "bad" && i.Text == "it is broken"
	}
	if !unplugged {
		t.Errorf("%+v", incidents)
	}
}

// A fault of a decoder ends a connection, and not the program.
func TestPanic(t *testing.T) {
	var opened atomic.Int32
	c := &stationfile.Config{Name: "test", Receivers: []stationfile.Receiver{{Name: "a"}}}
	s, err := Open(t.TempDir(), c, Options{Open: func(context.Context, stationfile.Receiver, float64) (*Input, error) {
		if opened.Add(1) > 1 {
			return live(nil), nil
		}
		in := live(nil)
		in.Each = func(context.Context, func(Block)) error { panic("a fault") }
		return in, nil
	}})
	must(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- s.Run(ctx) }()
	eventually(t, "it is connected again", func() bool { return status(s, "a").Samples > 0 })
	cancel()
	must(t, <-done)
}

// A receiver that the programme wants elsewhere is tuned by its command, and opened again there.
func TestTune(t *testing.T) {
	now := time.Now().UTC()
	minute := programme.Clock(now.Hour()*60 + now.Minute())
	dir := t.TempDir()
	file := filepath.Join(dir, "tuned")
	c := &stationfile.Config{Name: "test",
		Receivers: []stationfile.Receiver{{Name: "a", Sideband: "upper", DialHz: 4e6, Tune: &stationfile.Tune{Command: []string{"touch", file + "-{khz}-{sideband}-{mode}"}, Timeout: time.Minute}}},
		Programme: []programme.Entry{{ID: "x", Title: "X", Times: []programme.Clock{minute}, FrequencyHz: 7_880_000, Mode: "fax", Length: 10 * time.Minute}},
	}
	var mutex sync.Mutex
	var dials []float64
	s, err := Open(dir, c, Options{Open: func(_ context.Context, _ stationfile.Receiver, dialHz float64) (*Input, error) {
		mutex.Lock()
		defer mutex.Unlock()
		dials = append(dials, dialHz)
		return live(nil), nil
	}})
	must(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- s.Run(ctx) }()
	eventually(t, "it is tuned", func() bool {
		mutex.Lock()
		defer mutex.Unlock()
		return len(dials) == 2 && dials[0] == 0 && dials[1] == 7_878_100
	})
	if names, _ := filepath.Glob(file + "*"); len(names) != 1 || names[0] != file+"-7878.1-upper-fax" {
		t.Error(names)
	}
	cancel()
	must(t, <-done)
}

// What is wrong is told once when it has lasted, and again when it came back.
func TestJudge(t *testing.T) {
	s, err := Open(t.TempDir(), &stationfile.Config{Name: "test"}, Options{})
	must(t, err)
	defer s.archive.Close()
	r := &s.rounds
	r.ill, r.told = map[illness]time.Time{}, map[illness]bool{}
	i := illness{"a", alerts.Silent}
	at := func(second int, ill bool) bool {
		now := time.Unix(int64(second), 0)
		s.judge(i, ill, time.Minute, now, now, "")
		return r.told[i]
	}
	for _, c := range []struct {
		second    int
		ill, told bool
	}{{0, true, false}, {50, true, false}, {61, true, true}, {70, true, true}, {80, false, false}, {90, true, false}, {149, true, false}, {151, true, true}} {
		if got := at(c.second, c.ill); got != c.told {
			t.Errorf("after %d s: %v", c.second, got)
		}
	}
}

// Hours go over midnight if their end is not after their beginning.
func TestListens(t *testing.T) {
	night := []stationfile.Hours{{From: 22 * 60, To: 6*60 + 30}}
	for clock, want := range map[string]bool{"21:59": false, "22:00": true, "00:00": true, "06:29": true, "06:30": false, "12:00": false} {
		at, err := time.Parse("15:04", clock)
		must(t, err)
		if listens(night, at) != want || !listens(nil, at) {
			t.Error(clock)
		}
	}
}

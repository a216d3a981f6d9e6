package rehearsal

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"ionoscribe/copydesk"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/station"
)

const (
	childVariable = "IONOSCRIBE_REHEARSAL" // folder and number of the run of a child
	killsVariable = "IONOSCRIBE_KILLS"     // how often the test kills; 4 if it is not set
	killSeed      = 1
)

func TestMain(m *testing.M) {
	if v := os.Getenv(childVariable); v != "" {
		child(v)
	}
	os.Exit(m.Run())
}

// planOfRun is what run k hears: days of its own, so that nothing is heard twice.
func planOfRun(k int) Plan {
	return Plan{Days: 2, A: 48, Seed: killSeed, Begin: Begin.AddDate(0, 0, 2*k)}
}

// child keeps watch and prints each character that it is told, when it was, until it is killed or told to stop.
func child(order string) {
	dir, number, _ := strings.Cut(order, " ")
	k, _ := strconv.Atoi(number)
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM)
	defer stop()
	s, err := planOfRun(k).openStation(dir, slog.New(slog.DiscardHandler), make(chan time.Time, 100))
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	s.Follow(func(e station.News) {
		if e.What == copydesk.Text && e.Text != "\n" { // which ends a line of the archive, and is none of its characters
			fmt.Println(told{e.Source, e.UTC.UnixMilli(), e.Text})
		}
	})
	if err := s.Run(ctx); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(0)
}

// told is a character that a run was told.
type told struct {
	receiver string
	at       int64 // ms
	text     string
}

func (t told) String() string { return fmt.Sprintf("%s %d %q", t.receiver, t.at, t.text) }

// A station that is killed at random moments, or stopped, has lost nothing that it was told more than a second before, opens by
// itself, and leaves no orphans.
func TestKills(t *testing.T) {
	kills := 4
	if v, err := strconv.Atoi(os.Getenv(killsVariable)); err == nil {
		kills = v
	}
	dir := t.TempDir()
	r := rand.New(rand.NewPCG(killSeed, 0))
	heard, lost := 0, 0
	for k := range kills {
		how := syscall.SIGKILL
		if k%2 == 1 {
			how = syscall.SIGTERM
		}
		sure := killed(t, dir, k, time.Duration((0.5+5*r.Float64())*float64(time.Second)), how)
		heard += len(sure)
		kept := keptIn(t, dir, planOfRun(k))
		for _, c := range sure {
			if !kept[c] {
				if lost++; lost < 10 {
					t.Errorf("run %d: %v is lost", k, c)
				}
			}
		}
	}
	// The next start makes all ready.
	s, err := planOfRun(kills).openStation(dir, slog.New(slog.DiscardHandler), make(chan time.Time, 100))
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- s.Run(ctx) }()
	for range 600 { // while they are drawn
		if left, _ := filepath.Glob(filepath.Join(dir, "arriving*")); len(left) == 0 {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	cancel()
	if err := <-done; err != nil {
		t.Error(err)
	}
	a, err := archive.OpenReader(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	problems, err := a.Check(t.Context())
	if err != nil || len(problems) > 0 {
		t.Error(problems, err)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "arriving*")); len(left) > 0 {
		t.Error(left)
	}
	t.Logf("%d kills, seed %d: %d characters told more than a second before, %d lost", kills, killSeed, heard, lost)
}

// killed runs a child for some time and then sends it a signal; it returns what the child must have kept.
func killed(t *testing.T, dir string, k int, after time.Duration, how syscall.Signal) (sure []told) {
	t.Helper()
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), fmt.Sprintf("%s=%s %d", childVariable, dir, k))
	c.Stderr = os.Stderr
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	type line struct {
		told
		came time.Time
	}
	lines := make(chan []line)
	go func() {
		var all []line
		for b := bufio.NewScanner(out); b.Scan(); {
			var l line
			if n, err := fmt.Sscanf(b.Text(), "%s %d %q", &l.receiver, &l.at, &l.text); n == 3 && err == nil {
				l.came = time.Now()
				all = append(all, l)
			}
		}
		io.Copy(io.Discard, out)
		lines <- all
	}()
	time.Sleep(after)
	at := time.Now()
	c.Process.Signal(how)
	all := <-lines
	err = c.Wait()
	if took := time.Since(at); how == syscall.SIGTERM && (err != nil || took > 10*time.Second) {
		t.Errorf("run %d stopped after %v: %v", k, took, err)
	}
	for _, l := range all {
		if strings.TrimSpace(l.text) == "" {
			continue // white space at the beginning of a line is not kept
		}
		if how == syscall.SIGTERM || l.came.Before(at.Add(-time.Second)) {
			sure = append(sure, l.told)
		}
	}
	return sure
}

// keptIn is what the archive has of a plan's days.
func keptIn(t *testing.T, dir string, p Plan) map[told]bool {
	t.Helper()
	kept := map[told]bool{}
	a, err := archive.OpenReader(dir)
	if err != nil { // it was killed before it made one
		return kept
	}
	defer a.Close()
	q := archive.Query{From: p.Begin, To: p.Begin.AddDate(0, 0, p.Days), Limit: 1000}
	for {
		hits, err := a.Search(t.Context(), q)
		if err != nil {
			t.Fatal(err)
		}
		for _, h := range hits {
			q.Before = h.ID
			rec, err := a.Transmission(t.Context(), h.ID)
			if err != nil {
				t.Fatal(err)
			}
			for _, l := range rec.Text {
				for _, c := range l.Chars {
					kept[told{h.Receiver, c.At.UnixMilli(), c.Text}] = true
				}
			}
		}
		if len(hits) == 0 {
			return kept
		}
	}
}

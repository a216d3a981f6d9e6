package station

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"
	_ "unsafe" // for linkname

	"ionoscribe/copydesk"
	"ionoscribe/internal/alerts"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/soundring"
	"ionoscribe/internal/stationfile"
)

// childVariable has what a child process of a test is told to do: a test that mounts, that is stopped by a signal, or that is another
// user, is a process of its own.
const childVariable = "IONOSCRIBE_STATION_CHILD"

func TestMain(m *testing.M) {
	if order := os.Getenv(childVariable); order != "" {
		what, dir, _ := strings.Cut(order, " ")
		switch what {
		case "mounted", "limited":
			childFull(dir, what == "mounted")
		case "stop":
			childStop(dir)
		case "user":
			childUser(dir)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// cannotMount is the exit status of a child that is not allowed to mount.
const cannotMount = 77

func child(t *testing.T, order string, how *syscall.SysProcAttr) (out string, status int, took time.Duration) {
	t.Helper()
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), childVariable+"="+order)
	c.SysProcAttr = how
	began := time.Now()
	b, err := c.CombinedOutput()
	if err != nil && c.ProcessState == nil {
		return err.Error(), cannotMount, 0
	}
	return string(b), c.ProcessState.ExitCode(), time.Since(began)
}

// A disk that fills in the night is a small file system, where one may be mounted, and files that must not grow in any case, since
// that needs no rights. It is told at once, texts, charts and sound are kept, and written when there is room again.
func TestDiskFull(t *testing.T) {
	t.Parallel()
	id := []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}}
	group := []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}}
	mounted := false
	for _, how := range []*syscall.SysProcAttr{
		{Cloneflags: syscall.CLONE_NEWNS},
		{Cloneflags: syscall.CLONE_NEWNS | syscall.CLONE_NEWUSER, UidMappings: id, GidMappings: group},
	} {
		out, status, _ := child(t, "mounted "+t.TempDir(), how)
		if status == cannotMount {
			continue
		}
		if mounted = true; status != 0 {
			t.Errorf("small file system: %s", out)
		}
		t.Logf("small file system: %s", out)
		break
	}
	if !mounted {
		t.Log("nothing can be mounted here")
	}
	out, status, _ := child(t, "limited "+t.TempDir(), nil)
	if status != 0 {
		t.Errorf("files that must not grow: %s", out)
	}
	t.Logf("files that must not grow: %s", out)
}

// demand ends a child unless something is so.
func demand(is bool, form string, args ...any) {
	if !is {
		fmt.Printf(form+"\n", args...)
		os.Exit(1)
	}
}

// comes waits until something is so.
func comes(what string, is func() bool) {
	for range 1500 {
		if is() {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	demand(false, "never: %s", what)
}

func childFull(dir string, mount bool) {
	fill, free := fillLimit, freeLimit
	if mount {
		if syscall.Mount("none", "/", "", syscall.MS_REC|syscall.MS_PRIVATE, "") != nil || syscall.Mount("none", dir, "tmpfs", 0, "size=16m") != nil {
			os.Exit(cannotMount)
		}
		ballast := filepath.Join(dir, "ballast")
		fill = func() { fillDisk(ballast) }
		free = func() { check(os.Remove(ballast)) }
	}
	var told atomic.Int32
	var alert alerts.Alert
	way := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		check(json.NewDecoder(r.Body).Decode(&alert))
		told.Add(1)
	}))
	defer way.Close()
	c := &stationfile.Config{Name: "test", Receivers: []stationfile.Receiver{{Name: "a", Sound: time.Hour}},
		Ways:   []alerts.WayConfig{{Name: "w", Webhook: &alerts.Webhook{URL: way.URL}}},
		Alerts: []alerts.Rule{{Name: "disk", Station: []alerts.What{alerts.DiskFull, alerts.NotKept}, Ways: []string{"w"}}}}
	f := &fake{begin: time.Date(2031, 5, 4, 22, 0, 0, 0, time.UTC)}
	text := strings.Repeat("GALE WARNING OSTREL SEA ", 8)
	var s *Station
	var sounded int64
	script := func(ctx context.Context, take func(Block)) error {
		play := func(x []float32) {
			f.play(take, x)
			sounded += int64(len(x))
		}
		printed := broadcast("rtty", 1, 16, text)
		play(printed[:10*rate])
		fill()
		play(printed[10*rate:])
		play(broadcast("fax", 2, 16, ""))
		comes("the full disk is told", func() bool { return told.Load() > 0 })
		comes("health tells of it, and a chart waits", func() bool {
			play(hiss(0.1, 3)) // charts are told of when they are drawn
			h := s.Health()
			return !h.Well && h.Trouble != "" && h.Charts == 1 && h.Pending > 0
		})
		h := s.Health()
		fmt.Printf("told: %s: %s; %d rows and %d chart wait; sound: %v samples dropped\n", alert.Summary, alert.Detail, h.Pending, h.Charts, h.Lost.Sound)
		demand(h.Lost.Rows == 0 && h.Lost.Charts == 0, "%+v is lost", h.Lost)
		free()
		comes("all is written", func() bool { h := s.Health(); return h.Charts == 0 && h.Pending == 0 })
		play(hiss(3, 5))
		comes("health is well", func() bool { return s.Health().Well })
		return nil
	}
	log := &lines{}
	s, err := Open(dir, c, Options{Now: f.now, running: f.running, Log: slog.New(slog.NewTextHandler(log, nil)), Open: func(context.Context, stationfile.Receiver, float64) (*Input, error) {
		return f.input(script), nil
	}})
	check(err)
	printed := ""
	s.Follow(func(e News) {
		if e.What == copydesk.Text {
			printed += e.Text
		}
	})
	// What the ring could not keep is counted as long as the receiver is connected.
	dropped := int64(0)
	stop := make(chan struct{})
	counted := make(chan struct{})
	go func() {
		defer close(counted)
		for {
			if n := s.Health().Lost.Sound["a"]; n > dropped {
				dropped = n
			}
			select {
			case <-stop:
				return
			case <-time.After(5 * time.Millisecond):
			}
		}
	}()
	check(s.Run(context.Background()))
	close(stop)
	<-counted
	demand(log.has("the archive cannot be written") && log.has("the archive can be written again") && log.has("level=ERROR msg=charts"), "the log tells %q", log.all())
	a, err := archive.OpenReader(dir)
	check(err)
	defer a.Close()
	hits, err := a.Search(context.Background(), archive.Query{})
	check(err)
	kept, charts := "", 0
	for _, h := range hits {
		rec, err := a.Transmission(context.Background(), h.ID)
		check(err)
		charts += len(rec.Charts)
		for _, l := range slices.Backward(rec.Text) {
			kept = l.Text + kept
		}
	}
	flat := func(s string) string { return strings.Join(strings.Fields(s), "") }
	demand(flat(kept) == flat(printed) && len(printed) > 150, "kept is %q of %q", kept, printed)
	demand(charts == 1, "%d charts are kept", charts)
	problems, err := a.Check(context.Background())
	demand(err == nil && len(problems) == 0, "%v %v", problems, err)
	left, _ := filepath.Glob(filepath.Join(dir, "arriving*"))
	demand(len(left) == 0, "%v", left)
	span, err := soundring.Read(dir, "a", f.begin, f.now())
	check(err)
	defer span.Close()
	n := int64(len(all(span)))
	held := n - span.Lost()
	fmt.Printf("sound: %.1f s heard, %.1f s kept, %.1f s counted as dropped\n", float64(sounded)/rate, float64(held)/rate, float64(dropped)/rate)
	// Ten seconds wait, and some are heard when there is room again. How long a gap is the times tell, to a tenth of a second.
	demand(held+dropped >= sounded-rate/10 && held > 12*rate, "sound: %d kept, %d dropped, %d heard", held, dropped, sounded)
}

// fillDisk writes a file until nothing more goes into its file system.
func fillDisk(path string) {
	f, err := os.Create(path)
	check(err)
	defer f.Close()
	for size := 1 << 16; size > 0; {
		if _, err := f.Write(make([]byte, size)); err != nil {
			demand(errors.Is(err, syscall.ENOSPC), "%v", err)
			size /= 2
		}
	}
}

func limit(bytes uint64) {
	signal.Ignore(syscall.SIGXFSZ)
	var l syscall.Rlimit
	check(syscall.Getrlimit(syscall.RLIMIT_FSIZE, &l))
	if l.Cur = bytes; bytes == 0 {
		l.Cur = l.Max
	}
	check(syscall.Setrlimit(syscall.RLIMIT_FSIZE, &l))
}

func fillLimit() { limit(1) }
func freeLimit() { limit(0) }

// A station that is stopped while it draws charts ends within five seconds, and its next start has them all.
func TestStopWhileDrawing(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	out, status, took := child(t, "stop "+dir, nil)
	if status != 0 {
		t.Fatal(out)
	}
	t.Logf("%s (%v in all)", out, took)
	s, err := Open(dir, &stationfile.Config{Name: "test"}, Options{})
	must(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- s.Run(ctx) }()
	for left := []string{""}; len(left) > 0; left, _ = filepath.Glob(filepath.Join(dir, "arriving*")) { // a chart takes seconds to draw
		time.Sleep(20 * time.Millisecond)
	}
	cancel()
	must(t, <-done)
	a, err := archive.OpenReader(dir)
	must(t, err)
	defer a.Close()
	hits, err := a.Search(t.Context(), archive.Query{})
	must(t, err)
	charts := 0
	for _, h := range hits {
		rec, err := a.Transmission(t.Context(), h.ID)
		must(t, err)
		charts += len(rec.Charts)
	}
	if problems, err := a.Check(t.Context()); charts != 4 || err != nil || len(problems) > 0 {
		t.Errorf("%d charts of %d transmissions; %v %v", charts, len(hits), problems, err)
	}
}

//go:linkname drawers ionoscribe/copydesk.drawers
var drawers chan struct{} // what a chart needs to be drawn

// childStop hears four charts and sends itself SIGTERM when the last one is complete, of which none can be drawn.
func childStop(dir string) {
	c := &stationfile.Config{Name: "test"}
	for i := range 4 {
		c.Receivers = append(c.Receivers, stationfile.Receiver{Name: fmt.Sprint("r", i), Source: fmt.Sprint(i)})
	}
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM)
	defer stop()
	var complete atomic.Int32
	s, err := Open(dir, c, Options{Open: func(_ context.Context, r stationfile.Receiver, _ float64) (*Input, error) {
		f := &fake{begin: time.Date(2031, 5, 4, 22, 0, 0, 0, time.UTC)}
		return f.input(func(ctx context.Context, take func(Block)) error {
			x := broadcast("fax", uint64(10+len(r.Source)+int(r.Source[0])), 3, "")
			f.play(take, x)
			if complete.Add(1) == 4 {
				check(syscall.Kill(os.Getpid(), syscall.SIGTERM))
			}
			for ctx.Err() == nil {
				f.play(take, hiss(0.1, 9))
				time.Sleep(50 * time.Millisecond)
			}
			return ctx.Err()
		}), nil
	}})
	check(err)
	for range cap(drawers) { // no one can draw
		drawers <- struct{}{}
	}
	go func() {
		<-ctx.Done()
		began := time.Now()
		time.Sleep(5 * time.Second)
		fmt.Printf("it goes on after %v\n", time.Since(began))
		os.Exit(1)
	}()
	check(s.Run(ctx))
	left, _ := filepath.Glob(filepath.Join(dir, "arriving*"))
	fmt.Printf("stopped; %d charts are to be drawn", len(left))
	os.Exit(0)
}

// lines is a log.
type lines struct{ text atomic.Value }

func (l *lines) Write(b []byte) (int, error) { l.text.Store(l.all() + string(b)); return len(b), nil } // slog's handlers write one at a time
func (l *lines) all() string                 { s, _ := l.text.Load().(string); return s }
func (l *lines) has(s string) bool           { return strings.Contains(l.all(), s) }

var _ io.Writer = (*lines)(nil)

// strangers are folders that no station may be opened in, and what is told of them.
var strangers = []struct {
	name, says string
	make       func(dir string)
}{
	{"read-only", "permission denied; choose a folder that you may write to", func(dir string) { check(os.Chmod(dir, 0o555)) }},
	{"another user's", "permission denied; choose a folder that you may write to", func(dir string) { check(os.Chmod(dir, 0o700)) }},
	{"another user's files", "permission denied; choose a folder that you may write to", func(dir string) {
		a, err := archive.Open(dir, archive.Options{})
		check(err)
		check(a.Close())
		check(os.Chmod(dir, 0o755))
	}},
}

// A folder that may not be written to is one clear sentence. Whoever is root opens it as nobody, since root may do everything.
func TestFolders(t *testing.T) {
	for _, x := range strangers {
		t.Run(x.name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "station")
			must(t, os.Mkdir(dir, 0o777))
			for up := filepath.Dir(dir); up != os.TempDir() && up != "/"; up = filepath.Dir(up) {
				os.Chmod(up, 0o755)
			}
			x.make(dir)
			t.Cleanup(func() { os.Chmod(dir, 0o755) })
			out, status, _ := child(t, "user "+dir, nil)
			if status != 1 || !strings.Contains(out, x.says) || strings.Contains(strings.TrimSpace(out), "\n") {
				t.Errorf("status %d: %s", status, out)
			}
			t.Log(out)
		})
	}
}

// childUser opens a station as nobody.
func childUser(dir string) {
	const nobody = 65534
	if os.Getuid() == 0 {
		check(syscall.Setgroups(nil))
		check(syscall.Setgid(nobody))
		check(syscall.Setuid(nobody))
	}
	_, err := Open(dir, &stationfile.Config{Name: "test"}, Options{})
	demand(err == nil, "%v", err)
}

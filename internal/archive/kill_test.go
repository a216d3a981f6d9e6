package archive

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"ionoscribe/internal/alerts"
	"ionoscribe/internal/traffic"
)

// childEnv has the folder in which this program, run once more, writes until it is killed.
const childEnv = "IONOSCRIBE_ARCHIVE_CHILD"

// killsEnv is how many kills there are instead of the usual ones; the seed is the number of the kill.
const killsEnv = "IONOSCRIBE_KILLS"

func TestMain(m *testing.M) {
	if dir := os.Getenv(childEnv); dir != "" {
		writeUntilKilled(dir)
	}
	settling = 0
	os.Exit(m.Run())
}

// writeUntilKilled writes all that an archive has, and tells on its output of what it was told is on the disk: that must be there
// whatever comes. Now and then some of it is deleted.
func writeUntilKilled(dir string) {
	seed, _ := strconv.ParseUint(os.Getenv(childEnv+"_SEED"), 10, 64)
	r := rand.New(rand.NewPCG(seed, 1))
	t := &panicker{}
	a, err := Open(dir, Options{Now: func() time.Time { return noon }})
	must(t, err)
	ctx := context.Background()
	out := bufio.NewWriter(os.Stdout)
	var told []string
	begun := noon.Add(time.Duration(seed) * time.Hour)
	for {
		begun = begun.Add(time.Second)
		switch r.IntN(6) {
		case 0, 1, 2:
			text := traffic.Message(traffic.Bulletin, r, 200+r.IntN(2000))
			id := a.Begin(Transmission{Receiver: "north", Mode: "rtty", Begun: begun, Title: "Bulletin"})
			tell(a, id, begun, text)
			var shown []string
			for line := range strings.Lines(text) {
				if line = strings.TrimSpace(line); line != "" {
					shown = append(shown, line)
				}
			}
			if r.IntN(4) > 0 { // or it is left arriving
				a.End(id, begun.Add(time.Minute))
			}
			told = append(told, fmt.Sprintf("text %d %q", id, strings.Join(shown, " ")))
		case 3:
			id := a.Begin(Transmission{Receiver: "south", Mode: "fax", Begun: begun, Title: "Surface analysis"})
			p, v, info := saveChart(t, a, begun)
			a.Chart(id, Chart{Picture: p, Video: v, Info: info})
			a.End(id, begun.Add(time.Minute))
			told = append(told, fmt.Sprintf("chart %d %q", id, a.within(p)))
		case 4:
			id, err := a.Outbox().Add(alerts.Alert{Rule: "gales", Made: begun}, []string{"mail", "hook"})
			must(t, err)
			told = append(told, fmt.Sprintf("alert %d %q", id, ""))
			a.Incident(Incident{At: begun, What: Gap, Receiver: "north"})
			a.Expect(Expected{Key: fmt.Sprint("surface@", begun.Unix()), At: begun, Outcome: Came})
		case 5:
			_, err := a.Keep(ctx, Rules{Charts: Limit{Bytes: 200_000}, Videos: Limit{Bytes: 20}, Texts: Limit{Bytes: 100_000}})
			must(t, err)
		}
		if r.IntN(3) == 0 {
			must(t, a.Flush(ctx))
			for _, line := range told {
				fmt.Fprintln(out, line)
			}
			out.Flush()
			told = told[:0]
		}
	}
}

// panicker is the testing.TB of a program that is no test.
type panicker struct{ testing.TB }

func (*panicker) Helper()           {}
func (*panicker) Fatal(args ...any) { panic(fmt.Sprint(args...)) }

// A program that is killed at any moment loses nothing of what was committed, its archive opens by itself, and database and
// files agree then.
func TestKill(t *testing.T) {
	kills := 20
	if s := os.Getenv(killsEnv); s != "" {
		var err error
		kills, err = strconv.Atoi(s)
		must(t, err)
	}
	program, err := os.Executable()
	must(t, err)
	dir := t.TempDir()
	r := rand.New(rand.NewPCG(17, 5))
	var told []string
	seen, gone := 0, 0
	for kill := range kills {
		child := exec.Command(program, "-test.run", "^$")
		child.Env = append(os.Environ(), childEnv+"="+dir, fmt.Sprintf("%s_SEED=%d", childEnv, kill))
		child.Stderr = os.Stderr
		out, err := child.StdoutPipe()
		must(t, err)
		must(t, child.Start())
		lines := bufio.NewScanner(out)
		lines.Buffer(nil, 1<<20)
		if !lines.Scan() {
			t.Fatalf("kill %d: the program wrote nothing", kill)
		}
		told = append(told, lines.Text())
		wait := time.Duration(r.IntN(300)) * time.Millisecond
		go func() {
			time.Sleep(wait)
			child.Process.Kill()
		}()
		for lines.Scan() {
			told = append(told, lines.Text())
		}
		child.Wait()

		a := open(t, dir)
		problems, err := a.Check(context.Background())
		must(t, err)
		for _, p := range problems {
			t.Errorf("kill %d: %v", kill, p)
		}
		s, g := compare(t, kill, a, told)
		seen, gone = seen+s, gone+g
		told = nil
		must(t, a.Close())
		if t.Failed() {
			break
		}
	}
	t.Logf("%d kills, seed 17: of what was committed before, %d things were there, and %d had been deleted", kills, seen, gone)
}

// compare looks for what was told in the archive, or in the record of what was deleted.
func compare(t *testing.T, kill int, a *Archive, told []string) (seen, gone int) {
	ctx := context.Background()
	deletions, err := a.Deletions(ctx, time.Time{}, noon.Add(1e6*time.Hour))
	must(t, err)
	deleted, paths := map[ID]bool{}, map[string]bool{}
	for _, d := range deletions {
		deleted[d.Transmission] = true
		paths[d.Path] = true
	}
	deliveries, err := a.Deliveries(ctx, time.Time{}, noon.Add(1e6*time.Hour))
	must(t, err)
	ways := map[int64]int{}
	for _, d := range deliveries {
		ways[d.Alert.ID]++
	}
	for _, line := range told {
		var what, text string
		var id int64
		if _, err := fmt.Sscanf(line, "%s %d %q", &what, &id, &text); err != nil {
			continue // the last one may be cut
		}
		switch what {
		case "text":
			r, err := a.Transmission(ctx, ID(id))
			if err == ErrNone && deleted[ID(id)] {
				gone++
				continue
			}
			must(t, err)
			var have []string
			for _, l := range r.Text {
				have = append(have, strings.TrimSpace(l.Text))
			}
			if got := strings.Join(have, " "); got != text {
				t.Errorf("kill %d: transmission %d is\n%q, and was\n%q", kill, id, got, text)
			}
		case "chart":
			r, err := a.Transmission(ctx, ID(id))
			if err == ErrNone && paths[text] {
				gone++
				continue
			}
			must(t, err)
			if len(r.Charts) != 1 || r.Charts[0].Picture != text || !exists(a.file(text)) {
				t.Errorf("kill %d: chart %s: %v", kill, text, r.Charts)
			}
		case "alert":
			if ways[id] != 2 {
				t.Errorf("kill %d: alert %d has %d deliveries", kill, id, ways[id])
			}
		}
		seen++
	}
	return seen, gone
}

// What is told is written without anybody asking for it.
func TestWrittenByItself(t *testing.T) {
	a := open(t, t.TempDir())
	id := a.Begin(Transmission{Mode: "rtty", Begun: noon})
	tell(a, id, noon, "GALE WARN")
	for {
		if r, err := a.Transmission(context.Background(), id); err == nil && len(r.Text) == 1 && r.Text[0].Text == "GALE WARN" {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
}

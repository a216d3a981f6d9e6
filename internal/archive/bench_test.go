//go:build unix

package archive

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"syscall"
	"testing"
	"time"

	"ionoscribe/internal/traffic"
)

var (
	benchLines = flag.Int("lines", 1_000_000, "lines in the archive of the benchmarks")
	benchDir   = flag.String("archive", "", "folder of the archive of the benchmarks, which is made if it is not there")
)

// fill tells of invented messages of all kinds of 50 lines each, in which two of a hundred characters are doubtful, and half of
// those wrong.
func fill(b testing.TB, a *Archive, lines int) {
	r := rand.New(rand.NewPCG(17, 1))
	begun := noon
	for n := 0; n < lines; {
		mode := []string{"rtty", "cw", "rtty", "rtty"}[r.IntN(4)]
		id := a.Begin(Transmission{Receiver: []string{"north", "south", "west"}[r.IntN(3)], Source: "sound card", Mode: mode, Settings: "50 Bd, shift 450 Hz",
			OnAir: true, Hz: 1e6 * (2 + 20*r.Float64()), Begun: begun, SNR: 10 + 10*r.Float64(), Copied: true})
		at := begun
		for _, c := range traffic.Any(r, 3200) {
			confidence := 0.99
			if c != '\n' && r.IntN(50) == 0 {
				confidence = 0.1 + 0.8*r.Float64()
				if r.IntN(2) == 0 {
					c = 'A' + r.Int32N(26)
				}
			}
			a.Text(id, Char{At: at, Text: string(c), Confidence: confidence})
			at = at.Add(150 * time.Millisecond)
		}
		a.mutex.Lock()
		n += a.arriving[id].Lines
		a.mutex.Unlock()
		a.End(id, at)
		begun = begun.Add(2 * time.Minute)
		if a.Stats().PendingBytes > 8<<20 {
			flush(b, a)
		}
	}
	flush(b, a)
}

// BenchmarkSearch takes a minute or two to fill the archive, if there is none. It reports the time of a search.
func BenchmarkSearch(b *testing.B) {
	dir := *benchDir
	if dir == "" {
		dir = b.TempDir()
	}
	if _, err := os.Stat(dir + "/" + Name); err != nil {
		began := time.Now()
		a := open(b, dir)
		fill(b, a, *benchLines)
		must(b, a.Close())
		b.Logf("%d lines written in %v", *benchLines, time.Since(began))
	}
	r, err := OpenReader(dir)
	must(b, err)
	defer r.Close()
	if fi, err := os.Stat(r.path); err == nil {
		b.Logf("%d MB", fi.Size()>>20)
	}
	last := noon.Add(1000 * time.Hour)
	for _, c := range []struct {
		name string
		q    Query
	}{
		{"word", Query{Words: "gale"}},
		{"common word", Query{Words: "the"}},
		{"words", Query{Words: "gale warning"}},
		{"phrase", Query{Words: `"brown fox"`}},
		{"rare", Query{Words: "qxzwv"}},
		{"prefix", Query{Words: "warn*"}},
		{"short prefix", Query{Words: "de*"}},
		{"garbled", Query{Words: "~warning ~gale"}},
		{"never together", Query{Words: `fox retire`}},
		{"three never together", Query{Words: `the qtc retire`}},
		{"without", Query{Words: "quiet -gale -outer"}},
		{"fields", Query{Words: "gale", Modes: []string{"cw"}, Receivers: []string{"west"}, LowHz: 7e6, HighHz: 7.1e6}},
		{"old", Query{Words: "gale", To: noon.Add(time.Hour)}},
		{"time", Query{Words: "gale", From: last, To: last.Add(time.Hour)}},
		{"no words", Query{Receivers: []string{"west"}, LeastQuality: 0.9}},
		{"nothing", Query{Receivers: []string{"east"}}},
	} {
		b.Run(c.name, func(b *testing.B) {
			n, done, began := 0, 0, processor()
			for b.Loop() {
				hits, err := r.Search(context.Background(), c.q)
				must(b, err)
				n = len(hits)
				done++
			}
			b.ReportMetric(float64(n), "hits")
			b.ReportMetric(float64(processor()-began)/1e6/float64(done), "cpu-ms/op") // which says more on a machine that does other things
		})
	}
}

// BenchmarkTell reports what a character costs him who tells of it, and with the writing.
func BenchmarkTell(b *testing.B) {
	a := open(b, b.TempDir())
	id := a.Begin(Transmission{Mode: "rtty", Begun: noon})
	text := []rune(traffic.Any(rand.New(rand.NewPCG(1, 1)), 3200))
	at := noon
	i := 0
	for b.Loop() {
		a.Text(id, Char{At: at, Text: string(text[i%len(text)]), Confidence: 0.99})
		at = at.Add(150 * time.Millisecond)
		if i++; i%100000 == 0 {
			flush(b, a)
		}
	}
}

// processor is the time that the program has taken of processors.
func processor() time.Duration {
	var u syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &u)
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// BenchmarkSecond reports what a second of a station costs, in which so many texts arrive with ten characters a second each: time
// of a processor, and bytes that are written to the disk.
func BenchmarkSecond(b *testing.B) {
	for _, n := range []int{4, 40} {
		b.Run(fmt.Sprint(n, "texts"), func(b *testing.B) {
			a := open(b, b.TempDir())
			r := rand.New(rand.NewPCG(1, 1))
			var texts []string
			var transmissions []ID
			for range n {
				texts = append(texts, traffic.Message(traffic.Bulletin, r, 5000))
				transmissions = append(transmissions, a.Begin(Transmission{Mode: "rtty", Receiver: "north", Begun: noon}))
			}
			flush(b, a)
			at, i := noon, 0
			seconds, began, written := 0, processor(), diskWritten()
			for b.Loop() {
				for range 2 { // commits
					for range 5 {
						for k, id := range transmissions {
							a.Text(id, Char{At: at, Text: texts[k][i%5000 : i%5000+1], Confidence: 0.98})
						}
						i++
						at = at.Add(100 * time.Millisecond)
					}
					flush(b, a)
				}
				seconds++
			}
			b.ReportMetric(float64(processor()-began)/1e6/float64(seconds), "cpu-ms/s")
			b.ReportMetric(float64(diskWritten()-written)/float64(seconds), "written-bytes/s")
		})
	}
}

// diskWritten is how many bytes the program has had written, as far as the system tells.
func diskWritten() int64 {
	b, _ := os.ReadFile("/proc/self/io")
	for line := range strings.Lines(string(b)) {
		var n int64
		if _, err := fmt.Sscanf(line, "write_bytes: %d", &n); err == nil {
			return n
		}
	}
	return 0
}

package station

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"ionoscribe/copydesk"
	"ionoscribe/internal/alerts"
	"ionoscribe/internal/stationfile"
)

// processor is the processor time of the process, in seconds.
func processor() float64 {
	var u syscall.Rusage
	check(syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano()).Seconds()
}

// benchRate is that of the receivers whose cost is measured, Hz.
const benchRate = 12000

// busy is what a busy receiver hears: teleprinter, Morse and a chart, one after the other.
func busy() (x []float32) {
	for i, name := range []string{"rtty", "cw", "fax"} {
		x = append(x, broadcastAt(benchRate, name, uint64(i), 16, strings.Repeat("GALE WARNING OSTREL SEA ", 8))...)
	}
	return x
}

var benchAlerts = []alerts.Rule{
	{Name: "words", Text: []string{"ice bulletin", "distress"}, Ways: []string{"w"}},
	{Name: "receivers", Receiver: []alerts.What{alerts.Silent, alerts.Disconnected, alerts.ClockRuns, alerts.Overloaded}, Ways: []string{"w"}},
	{Name: "disk", Station: []alerts.What{alerts.DiskFull, alerts.NotKept}, Ways: []string{"w"}},
}

const benchReceivers = 4

// What a station costs beyond the decoders: four receivers of 12 kHz, each for itself at a desk, and in a station that keeps their
// sound, texts and charts, and follows rules for alerts. Processor time as a share of a core in real time. "fast" hears three minutes of
// teleprinter, Morse and a chart as fast as it can, "live" 20 s of the teleprinter as time goes, with all commits that belong to it.
func BenchmarkStation(b *testing.B) {
	x := busy()
	b.Run("fast", func(b *testing.B) { benchmark(b, x, false) })
	b.Run("live", func(b *testing.B) { benchmark(b, x[:20*benchRate], true) })
}

func benchmark(b *testing.B, x []float32, live bool) {
	seconds := float64(len(x)) / benchRate
	play := func(take func([]float32)) {
		began := time.Now()
		for at := 0; at < len(x); at += benchRate / 10 {
			end := min(at+benchRate/10, len(x))
			if live {
				time.Sleep(time.Until(began.Add(time.Duration(float64(end) / benchRate * 1e9))))
			}
			take(x[at:end])
		}
	}
	alone := func() float64 {
		began := processor()
		stream := new(copydesk.Stream)
		var all sync.WaitGroup
		for range benchReceivers {
			all.Go(func() {
				d, err := copydesk.New(copydesk.Config{SampleRate: benchRate, Live: true}, stream)
				check(err)
				play(d.Write)
				d.Flush()
			})
		}
		all.Wait()
		return processor() - began
	}
	inStation := func() (float64, int64) {
		dir := b.TempDir()
		c := &stationfile.Config{Name: "test", Ways: quietWay, Alerts: benchAlerts}
		for _, name := range []string{"a", "b", "c", "d"} {
			c.Receivers = append(c.Receivers, stationfile.Receiver{Name: name, Sound: time.Hour})
		}
		s, err := Open(dir, c, Options{Open: func(context.Context, stationfile.Receiver, float64) (*Input, error) {
			begin, n := time.Now(), int64(0)
			in := (&fake{}).input(func(_ context.Context, take func(Block)) error {
				play(func(x []float32) { n += int64(len(x)); take(Block{Audio: x}) })
				return nil
			})
			in.SampleRate = benchRate
			in.Time = func(i int64) time.Time { return begin.Add(time.Duration(float64(i) / benchRate * 1e9)) }
			return in, nil
		}})
		check(err)
		began := processor()
		check(s.Run(context.Background()))
		return processor() - began, folderBytes(dir)
	}
	var desks, station float64
	var bytes int64
	for b.Loop() {
		desks += alone()
		cost, n := inStation()
		station += cost
		bytes += n
	}
	n := float64(b.N) * seconds
	b.ReportMetric(100*desks/n, "%core-desks")
	b.ReportMetric(100*station/n, "%core-station")
	b.ReportMetric(100*(station-desks)/n, "%core-beyond")
	b.ReportMetric(float64(bytes)/n*3600/1e6/benchReceivers, "MB/h/receiver")
	b.ReportMetric(0, "ns/op")
}

func folderBytes(dir string) (n int64) {
	filepath.Walk(dir, func(_ string, fi os.FileInfo, err error) error {
		if err == nil && !fi.IsDir() {
			n += fi.Size()
		}
		return nil
	})
	return n
}

package web

import (
	"context"
	"fmt"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/coder/websocket"

	"ionoscribe/copydesk"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/live/livetest"
	"ionoscribe/internal/station"
)

// processor is the processor time of the process, in seconds.
func processor() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano()).Seconds()
}

// What pages cost that show the spectra of four receivers of 12 kHz and their texts, ten characters a second each, as a share of a core:
// "%core" in all, "%core/page" what each adds. It is real time, by TCP, and the pages' own reading is in it.
func BenchmarkOpenPages(b *testing.B) {
	alone := 0.0
	for _, pages := range []int{0, 1, 10, 100} {
		b.Run(fmt.Sprint(pages), func(b *testing.B) {
			cost := openPagesCost(b, pages)
			b.ReportMetric(100*cost, "%core")
			if pages == 0 {
				alone = cost
			} else {
				b.ReportMetric(100*(cost-alone)/float64(pages), "%core/page")
			}
			b.ReportMetric(0, "ns/op")
		})
	}
}

// openPagesCost is the processor time of a second.
func openPagesCost(b *testing.B, pages int) float64 {
	s, address := localSite(b)
	names := []string{"a", "b", "c", "d"}
	in := &station.Input{SampleRate: 12000, Time: func(i int64) time.Time { return livetest.Begin.Add(time.Duration(i) * time.Second / 12000) }}
	for i := range names {
		s.station.Tell(archive.ID(i+1), copydesk.Event{What: copydesk.Began})
	}
	ctx, cancel := context.WithCancel(b.Context())
	var reading sync.WaitGroup
	defer reading.Wait()
	defer cancel()
	for range pages {
		e := s.events(ctx, address, "")
		must(b, e.Write(ctx, websocket.MessageText, []byte(`{"want":{"spectrum":["a","b","c","d"],"levels":true}}`)))
		reading.Go(func() {
			defer e.CloseNow()
			for {
				if _, r, err := e.Reader(ctx); err != nil {
					return
				} else {
					discard(r)
				}
			}
		})
	}
	block := station.Block{Audio: make([]float32, 2400)} // a fifth of a second
	tick := time.NewTicker(time.Second / 5)
	defer tick.Stop()
	n := int64(0)
	began := processor()
	for b.Loop() {
		for range 5 {
			<-tick.C
			for i, name := range names {
				s.station.Samples(name, in, n, block)
				s.station.Print(archive.ID(i+1), "AB")
			}
			n += 2400
		}
	}
	return (processor() - began) / float64(b.N)
}

// How long a character takes to a hundred pages, from the station's telling to the last of them; a fifth of a second it may be gathered.
func BenchmarkTextToHundredPages(b *testing.B) {
	const pages = 100
	s, address := localSite(b)
	ctx, cancel := context.WithCancel(b.Context())
	var reading sync.WaitGroup
	defer reading.Wait()
	defer cancel()
	s.station.Tell(1, copydesk.Event{What: copydesk.Began})
	arrived := make(chan struct{}, pages)
	for range pages {
		e := s.events(ctx, address, "")
		reading.Go(func() {
			defer e.CloseNow()
			for {
				v, _, err := e.next(ctx)
				if err != nil {
					return
				}
				if v.What == "text" {
					arrived <- struct{}{}
				}
			}
		})
	}
	longest := time.Duration(0)
	for b.Loop() {
		began := time.Now()
		s.station.Print(1, "A")
		for range pages {
			<-arrived
		}
		longest = max(longest, time.Since(began))
	}
	b.ReportMetric(longest.Seconds()*1000, "ms-longest")
}

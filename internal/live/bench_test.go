package live

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

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

// What the hub costs with pages that show the spectra of four receivers of 12 kHz and their texts, ten characters a second each, as a
// share of a core: "%core" in all, and "%core/page" what each page adds to none. Samples come as fast as they are dealt with; the clock
// of the hub is theirs.
func BenchmarkPages(b *testing.B) {
	alone := 0.0
	for _, pages := range []int{0, 1, 10, 100} {
		b.Run(fmt.Sprint(pages), func(b *testing.B) {
			cost := pagesCost(b, pages)
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

// pagesCost is the processor time of a second.
func pagesCost(b *testing.B, pages int) float64 {
	s, h := newHub()
	now := livetest.Begin
	h.running = func() time.Time { return now }
	names := []string{"a", "b", "c", "d"}
	in := map[string]*station.Input{}
	for i, name := range names {
		in[name] = &station.Input{SampleRate: 12000, Time: func(i int64) time.Time { return livetest.Begin.Add(time.Duration(i) * time.Second / 12000) }}
		s.Tell(archive.ID(i+1), copydesk.Event{What: copydesk.Began})
	}
	ctx, cancel := context.WithCancel(b.Context())
	defer cancel()
	var clients sync.WaitGroup
	for range pages {
		c := h.Join(0)
		c.Want(Want{Spectrum: names})
		clients.Go(func() {
			for {
				if _, err := c.Next(ctx); err != nil {
					return
				}
			}
		})
	}
	block := audioTone(12000, 1500, 0.1)
	block.Audio = block.Audio[:2400] // a fifth of a second
	n := int64(0)
	began := processor()
	for b.Loop() {
		for range 5 {
			now = now.Add(time.Second / 5)
			for i, name := range names {
				s.Samples(name, in[name], n, block)
				s.Print(archive.ID(i+1), "AB")
			}
			h.flush()
			n += 2400
		}
	}
	cost := (processor() - began) / float64(b.N)
	cancel()
	clients.Wait()
	return cost
}

// What a spectrum costs, as a share of a core.
func BenchmarkSpectrum(b *testing.B) {
	for _, c := range []tuning{{rate: 12000}, {rate: 48000}, {rate: 192000, iq: true}, {rate: 2e6, iq: true}} {
		b.Run(fmt.Sprintf("%g kHz, IQ %v", c.rate/1000, c.iq), func(b *testing.B) {
			s := newSpectrum(c)
			s.tokens = 1e9
			block := audioTone(c.rate, 1000, 0.1)
			if c.iq {
				block = bandTone(c.rate, 1000, 0.1)
			}
			began := processor()
			for b.Loop() {
				s.add(block, func(row uint32, _ int, power []float64) { spectrumRow(row, livetest.Begin, power) })
			}
			b.ReportMetric(100*(processor()-began)/float64(b.N)/1.5, "%core")
			b.ReportMetric(0, "ns/op")
		})
	}
}

// What a newcomer costs when a hundred transmissions are under way, each with a long text: processor time in all, and that for which
// receivers wait.
func BenchmarkJoin(b *testing.B) {
	s, h := newHub()
	for id := range archive.ID(100) {
		s.Tell(id+1, copydesk.Event{What: copydesk.Began})
		s.Print(id+1, strings.Repeat("GALE WARNING\n", mostText/13))
	}
	h.flush()
	held, all := 0.0, 0.0
	for b.Loop() {
		c := &Client{hub: h, ready: make(chan struct{}, 1)}
		began := processor()
		v := h.join(c, 0)
		held += processor() - began
		encode(v)
		all += processor() - began
		c.Leave()
	}
	b.ReportMetric(1000*held/float64(b.N), "ms-held")
	b.ReportMetric(1000*all/float64(b.N), "ms")
	b.ReportMetric(0, "ns/op")
}

// What a block of a tenth of a second costs when there is no page.
func BenchmarkTapAlone(b *testing.B) {
	s, _ := newHub()
	in := &station.Input{SampleRate: 12000}
	block := station.Block{Audio: make([]float32, 1200)}
	for b.Loop() {
		s.Samples("north", in, 0, block)
	}
}

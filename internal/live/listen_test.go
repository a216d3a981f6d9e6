package live

import (
	"context"
	"errors"
	"math"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"ionoscribe/internal/station"
)

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// listener counts what is heard, by the clock of the test.
type listener struct {
	*Listening
	t       *testing.T
	heard   int // samples
	nonzero int
	most    time.Duration // by which it came before its time
}

// listenFor fetches what there is to hear for some time.
func (l *listener) listenFor(d time.Duration) {
	l.t.Helper()
	began := time.Now()
	ctx, cancel := context.WithDeadline(l.t.Context(), began.Add(d))
	defer cancel()
	heard := 0
	for {
		x, err := l.Next(ctx)
		if errors.Is(err, context.DeadlineExceeded) {
			return
		}
		must(l.t, err)
		l.heard += len(x)
		for _, v := range x {
			if v != 0 {
				l.nonzero++
			}
		}
		heard += len(x)
		l.most = max(l.most, time.Duration(heard)*time.Second/HeardRate-time.Since(began))
	}
}

// play gives a receiver's samples, some times as fast as they sound, and returns when all are given.
func play(s *sounds, in *station.Input, d time.Duration, fast float64) {
	const every = 100 * time.Millisecond
	b := audioTone(in.SampleRate, 1000, 0.1)
	b.Audio = b.Audio[:int(in.SampleRate*every.Seconds())]
	for range d / every {
		s.take("north", in, b)
		time.Sleep(time.Duration(float64(every) / fast))
	}
}

// What a receiver gives is heard as time goes, silence when it pauses, and then it again, of another rate too.
func TestListenLive(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := new(sounds)
		l := &listener{Listening: s.listen("north", Passband{}), t: t}
		defer l.Close()
		var playing sync.WaitGroup
		defer playing.Wait()
		playing.Go(func() {
			play(s, &station.Input{SampleRate: 8000}, 10*time.Second, 1)
			time.Sleep(10 * time.Second)
			play(s, &station.Input{SampleRate: 48000}, 10*time.Second, 1)
		})
		l.listenFor(9500 * time.Millisecond)
		if seconds := float64(l.heard) / HeardRate; math.Abs(seconds-9.5) > 0.2 || l.heard-l.nonzero > HeardRate/10 {
			t.Errorf("%.2f s of 9.5 s are heard, %d of %d samples are not silence", seconds, l.nonzero, l.heard)
		}
		l.listenFor(9500 * time.Millisecond)
		if seconds := float64(l.heard) / HeardRate; math.Abs(seconds-19) > 0.5 {
			t.Errorf("%.2f s of 19 s are heard", seconds)
		}
		if sound := float64(l.nonzero) / HeardRate; math.Abs(sound-10) > 0.2 {
			t.Errorf("%.2f s are not silence; the receiver gave 10 s", sound)
		}
		l.listenFor(10 * time.Second)
		if seconds, sound := float64(l.heard)/HeardRate, float64(l.nonzero)/HeardRate; math.Abs(seconds-29) > 0.5 || math.Abs(sound-19) > 0.6 {
			t.Errorf("%.2f s of 29 s are heard, %.2f s are not silence", seconds, sound)
		}
	})
}

// Of a recording that is heard faster than it sounds as much is heard as time goes.
func TestListenFast(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := new(sounds)
		l := &listener{Listening: s.listen("north", Passband{500, 1500}), t: t}
		defer l.Close()
		var playing sync.WaitGroup
		defer playing.Wait()
		playing.Go(func() { play(s, &station.Input{SampleRate: 8000}, 400*time.Second, 20) })
		l.listenFor(20 * time.Second)
		if seconds := float64(l.heard) / HeardRate; math.Abs(seconds-20) > 1.3 || l.most > mostAhead+200*time.Millisecond {
			t.Errorf("%.2f s of 20 s are heard, %v before their time", seconds, l.most)
		}
	})
}

// A listener that fetches nothing costs bounded memory, and no time of the receiver: this test would not end. When it comes back, it
// hears what goes on.
func TestListenerStops(t *testing.T) {
	s := new(sounds)
	in := &station.Input{SampleRate: 1e6, IQ: true}
	l := s.listen("north", Passband{1e5, 1.02e5})
	defer l.Close()
	b := station.Block{IQ: make([]complex64, 1e5)}
	for range 100 { // 10 s
		s.take("north", in, b)
	}
	if l.bytes > mostWaitingBytes || l.bytes < mostWaitingBytes/2 || l.lasts > mostWaiting {
		t.Errorf("%d bytes, %v are queued", l.bytes, l.lasts)
	}
	for ok := true; ok; {
		_, ok = l.next()
	}
	if l.bytes != 0 || l.lasts != 0 {
		t.Errorf("%d bytes, %v are left", l.bytes, l.lasts)
	}
	s.take("north", in, b)
	if _, ok := l.next(); !ok {
		t.Error("nothing more is heard")
	}
}

// There are so many listeners at most, and those that have gone make room. Without one a block is not copied.
func TestListeners(t *testing.T) {
	s := new(sounds)
	in := &station.Input{SampleRate: 8000}
	b := station.Block{Audio: make([]float32, 800)}
	var all []*Listening
	for range mostListeners {
		all = append(all, s.listen("north", Passband{}))
	}
	if s.listen("north", Passband{}) != nil {
		t.Error("there is one too many")
	}
	for _, l := range all {
		l.Close()
		l.Close()
	}
	if n := testing.AllocsPerRun(100, func() { s.take("north", in, b) }); n != 0 || s.count.Load() != 0 {
		t.Errorf("%g allocations, %d listeners", n, s.count.Load())
	}
}

// What a listener costs, as a share of a core.
func BenchmarkListener(b *testing.B) {
	for name, c := range map[string]struct {
		tuning
		Passband
	}{
		"audio-12k": {tuning{rate: 12000}, Passband{1500, 2300}},
		"audio-48k": {tuning{rate: 48000}, Passband{1500, 2300}},
		"iq-192k":   {tuning{rate: 192000, iq: true}, Passband{40000, 40800}},
		"iq-2M":     {tuning{rate: 2e6, iq: true}, Passband{40000, 40800}},
	} {
		b.Run(name, func(b *testing.B) {
			e, err := newEar(c.tuning, c.Passband)
			must(b, err)
			block := audioTone(c.rate, 2000, 0.1)
			if c.iq {
				block = bandTone(c.rate, 40500, 0.1)
			}
			var x []float32
			began := processor()
			for b.Loop() {
				x = e.hear(x[:0], block)
			}
			b.ReportMetric(100*(processor()-began)/float64(b.N)/1.5, "%core")
			b.ReportMetric(0, "ns/op")
		})
	}
}

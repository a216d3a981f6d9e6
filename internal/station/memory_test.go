package station

import (
	"context"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"ionoscribe/internal/mode"
	"ionoscribe/internal/modes"
	"ionoscribe/internal/stationfile"
	"ionoscribe/samples"
)

// band is complex samples of 96 kHz with charts and teleprinters in them.
func band(b *testing.B) (z []complex64) {
	const bandRate = 96000
	c := samples.IQSceneConfig{SampleRate: bandRate, NoiseDensity: 1e-9, Seed: 1}
	for i, name := range []string{"fax", "rtty", "fax", "rtty"} {
		m := mode.Find(modes.All, name)
		v, err := m.Invent(mode.Brief{Random: newRandom(uint64(i)), SampleRate: 8000, Low: m.AudioHz, High: m.AudioHz, Seconds: 60, Short: true, Seed: uint64(i),
			Text: func(int) string { return strings.Repeat("GALE WARNING OSTREL SEA ", 16) }})
		check(err)
		c.Signals = append(c.Signals, samples.IQSignal{Source: v.Sound, DialHz: float64(-30000 + 15000*i), StartSeconds: 4, Gain: samples.IQGain(v.Sound.Power(), 20, c.NoiseDensity)})
		c.Seconds = max(c.Seconds, 4+v.Sound.Duration()+16)
	}
	s, err := samples.NewIQScene(c)
	check(err)
	for part := make([]complex64, 1<<14); ; {
		n, err := s.ReadIQ(part)
		z = append(z, part[:n]...)
		if err != nil {
			return z
		}
	}
}

// What a station of four receivers of 12 kHz and one of 96 kHz I/Q takes of memory while all are busy, beside the sound that the
// benchmark itself holds.
func BenchmarkMemory(b *testing.B) {
	x, z := busy(), band(b)
	dir := b.TempDir()
	c := &stationfile.Config{Name: "test", Ways: quietWay, Alerts: benchAlerts}
	for _, name := range []string{"a", "b", "c", "d", "iq"} {
		c.Receivers = append(c.Receivers, stationfile.Receiver{Name: name, Sound: time.Hour})
	}
	var before runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	s, err := Open(dir, c, Options{Open: func(_ context.Context, r stationfile.Receiver, _ float64) (*Input, error) {
		begin := time.Now()
		in := (&fake{}).input(func(_ context.Context, take func(Block)) error {
			if r.Name == "iq" {
				for at := 0; at < len(z); at += 9600 {
					take(Block{IQ: z[at:min(at+9600, len(z))]})
				}
				return nil
			}
			for at := 0; at < len(x); at += benchRate / 10 {
				take(Block{Audio: x[at:min(at+benchRate/10, len(x))]})
			}
			return nil
		})
		in.SampleRate, in.IQ = benchRate, r.Name == "iq"
		if in.IQ {
			in.SampleRate = 96000
		}
		in.Time = func(i int64) time.Time { return begin.Add(time.Duration(float64(i) / in.SampleRate * 1e9)) }
		return in, nil
	}})
	check(err)
	stop, heaps := make(chan struct{}), make(chan []int64)
	go func() {
		var all []int64
		for {
			var m runtime.MemStats
			runtime.GC()
			runtime.ReadMemStats(&m)
			all = append(all, int64(m.HeapAlloc)-int64(before.HeapAlloc))
			select {
			case <-stop:
				heaps <- all
				return
			case <-time.After(50 * time.Millisecond):
			}
		}
	}()
	check(s.Run(context.Background()))
	close(stop)
	all := <-heaps
	slices.Sort(all)
	b.ReportMetric(float64(all[len(all)/2])/1e6, "MB-median")
	b.ReportMetric(float64(all[len(all)-1])/1e6, "MB-most")
	b.ReportMetric(0, "ns/op")
}

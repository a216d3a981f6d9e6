package fax_test

import (
	"math/rand/v2"
	"runtime"
	"testing"

	"ionoscribe/fax"
)

// While it receives, an hour of a chart takes less than 32 MiB: 26 MB of video and some work space.
func TestMemoryOfAnHour(t *testing.T) {
	const rate = 6000
	line := fm(rate, 1900, 400, 1, append(randomRuns(rand.New(rand.NewPCG(1, 8)), 0.45), run{10, 1}))[:rate/2]
	live := func() uint64 {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	before := live()
	receiving := false
	d, err := fax.New(fax.Config{SampleRate: rate, Plain: true}, fax.Events{State: func(s fax.State) { receiving = s.Receiving }})
	if err != nil {
		t.Fatal(err)
	}
	most := uint64(0)
	for second := range 3590 {
		d.Write(line)
		d.Write(line)
		if second%60 == 0 || second > 3580 {
			most = max(most, live()-before)
		}
	}
	t.Logf("%.1f MiB", float64(most)/(1<<20))
	if !receiving {
		t.Error("no chart is being received")
	}
	if most > 32<<20 {
		t.Errorf("%.1f MiB are live", float64(most)/(1<<20))
	}
	runtime.KeepAlive(d)

	// And an hour of a tone that never stops is not kept at all.
	before = live()
	if d, err = fax.New(fax.Config{SampleRate: rate}, fax.Events{}); err != nil {
		t.Fatal(err)
	}
	tone := fm(rate, 1900, 400, 1, alternation(450, 1))
	for range 1800 {
		d.Write(tone)
	}
	if n := live() - before; n > 8<<20 {
		t.Errorf("after half an hour of a tone %.1f MiB are live", float64(n)/(1<<20))
	}
	runtime.KeepAlive(d)
}

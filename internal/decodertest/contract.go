package decodertest

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// Decoder is what a host knows of a mode.
type Decoder interface {
	Write(block []float32)
	Flush()
}

// Event is something that a decoder reports.
type Event struct {
	At   int64  // sample index, counted from the first sample written
	Text string // all the rest of it, with indices relative to At; a digest will do
}

// Contract says what to check.
type Contract struct {
	// New makes a decoder that calls heard for each event, in order.
	New func(heard func(Event)) Decoder
	// Signal must make an event or more. It is decoded sixty times: keep it short.
	Signal []float32
	// Lasting is a signal that is received all the time, longer than ReceivingWarm + 2·Measured.
	Lasting []float32
	// IdleWarm and ReceivingWarm are samples to warm up with, before allocations are counted over Measured of them:
	// while there is silence, and within Lasting.
	IdleWarm, ReceivingWarm, Measured int
	// KeptAllocations is how often a decoder may allocate over Measured samples while it is receiving, for what it
	// keeps of the signal. While it is idle it must not.
	KeptAllocations int
}

// Run checks the contract.
func (c Contract) Run(t *testing.T) {
	want := c.hear(func(d Decoder) {
		d.Write(c.Signal)
		d.Flush()
	})
	if len(want) == 0 {
		t.Fatal("nothing is heard")
	}
	t.Run("blocks", func(t *testing.T) { c.blocks(t, want) })
	t.Run("again", func(t *testing.T) { c.again(t, want) })
	t.Run("garbage", func(t *testing.T) { c.garbage(t, want) })
	t.Run("allocations", c.allocations)
	t.Run("fifty", func(t *testing.T) { c.fifty(t, want) })
}

func (c Contract) hear(use func(Decoder)) (heard []Event) {
	use(c.New(func(e Event) { heard = append(heard, e) }))
	return heard
}

// cut writes x in blocks of size samples, or of random lengths if 0, some of which are 0, from a buffer that is
// wiped after each call.
func cut(d Decoder, x []float32, size int) {
	rng := rand.New(rand.NewPCG(1, 2))
	buf := make([]float32, 10000)
	for len(x) > 0 {
		n := size
		if n == 0 {
			n = int(math.Exp(9.2*rng.Float64())) - 1
		}
		n = copy(buf[:min(n, len(x))], x)
		d.Write(buf[:n])
		for i := range buf[:n] {
			buf[i] = float32(math.Inf(1))
		}
		x = x[n:]
	}
}

func (c Contract) blocks(t *testing.T, want []Event) {
	for _, size := range []int{1, 7, 479, 0} {
		same(t, fmt.Sprintf("blocks of %d (0: random)", size), want, c.hear(func(d Decoder) {
			cut(d, c.Signal, size)
			d.Flush()
		}))
	}
	before := slices.Clone(c.Signal)
	c.hear(func(d Decoder) { d.Write(before) })
	if !slices.Equal(before, c.Signal) {
		t.Error("the block is changed")
	}
}

// again writes the signal twice: the second time everything comes later by its length.
func (c Contract) again(t *testing.T, want []Event) {
	twice := slices.Clone(want)
	for _, e := range want {
		e.At += int64(len(c.Signal))
		twice = append(twice, e)
	}
	same(t, "flushed and again", twice, c.hear(func(d Decoder) {
		for range 2 {
			cut(d, c.Signal, 0)
			d.Flush()
		}
	}))
	if n := len(c.hear(func(d Decoder) { d.Flush(); d.Flush(); d.Write(nil); d.Flush() })); n > 0 {
		t.Errorf("%d events from nothing", n)
	}
}

// garbage writes what is no signal, and then the signal, which must come out as ever.
func (c Contract) garbage(t *testing.T, want []Event) {
	rng := rand.New(rand.NewPCG(3, 4))
	var junk []float32
	for range 20000 {
		junk = append(junk, math.Float32frombits(rng.Uint32()))
	}
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat32, -math.MaxFloat32, math.SmallestNonzeroFloat32, 1, -1, 0} {
		for range 1000 {
			junk = append(junk, float32(v))
		}
	}
	shifted := slices.Clone(want)
	for i := range shifted {
		shifted[i].At += int64(len(junk))
	}
	var heard []Event
	d := c.New(func(e Event) { heard = append(heard, e) })
	d.Write(junk)
	d.Flush()
	heard = nil
	d.Write(c.Signal)
	d.Flush()
	same(t, "after garbage", shifted, heard)

	// NaN counts as silence.
	x, y := slices.Clone(c.Signal), slices.Clone(c.Signal)
	for range 100 {
		at := rng.IntN(len(x) - 50)
		for i := at; i < at+50; i++ {
			x[i] = 0
			y[i] = float32([]float64{math.NaN(), math.Inf(1), math.Inf(-1)}[i%3])
		}
	}
	all := func(x []float32) []Event { return c.hear(func(d Decoder) { d.Write(x); d.Flush() }) }
	same(t, "not a number", all(x), all(y))
}

func (c Contract) allocations(t *testing.T) {
	const block = 480
	d := c.New(func(Event) {})
	quiet := make([]float32, block)
	for range c.IdleWarm / block {
		d.Write(quiet)
	}
	if n := testing.AllocsPerRun(1, func() {
		for range c.Measured / block {
			d.Write(quiet)
		}
	}); n > 0 {
		t.Errorf("idle: %v allocations in %d blocks", n, c.Measured/block)
	}

	d.Flush()
	x := c.Lasting
	take := func(n int) {
		for ; n > 0 && len(x) >= block; n -= block {
			d.Write(x[:block])
			x = x[block:]
		}
	}
	take(c.ReceivingWarm)
	// AllocsPerRun runs it once more, to warm up.
	n := testing.AllocsPerRun(1, func() { take(c.Measured) })
	if len(x) < block {
		t.Fatal("the signal is too short for this")
	}
	t.Logf("receiving: %v allocations in %d blocks of %d samples", n, c.Measured/block, block)
	if n > float64(c.KeptAllocations) {
		t.Errorf("receiving: %v allocations in %d blocks, want %d at most", n, c.Measured/block, c.KeptAllocations)
	}
}

// fifty decoders take turns, each at another place of the signal: they share nothing that changes.
func (c Contract) fifty(t *testing.T, want []Event) {
	const block = 4000
	var heard [50][]Event
	var d [len(heard)]Decoder
	for i := range d {
		d[i] = c.New(func(e Event) { heard[i] = append(heard[i], e) })
	}
	for at := 0; at < len(c.Signal)+len(d)*block; at += block {
		for i := range d {
			if from := at - i*block; from >= 0 && from < len(c.Signal) {
				d[i].Write(c.Signal[from:min(from+block, len(c.Signal))])
			}
		}
	}
	for i := range d {
		d[i].Flush()
		same(t, fmt.Sprintf("decoder %d", i), want, heard[i])
	}
}

func same(t *testing.T, what string, want, got []Event) {
	t.Helper()
	if len(want) != len(got) {
		t.Errorf("%s: %d events instead of %d", what, len(got), len(want))
		return
	}
	for i, w := range want {
		if got[i] != w {
			t.Errorf("%s: event %d is %v, want %v", what, i, got[i], w)
		}
	}
}

package fsk

import (
	"slices"

	"ionoscribe/demod"
)

// The wide baseband: 0 to 4 kHz of audio as complex samples.
const (
	WideRate     = 4800.0 // Hz
	WideCentreHz = 2000.0
	widePassHz   = 2000.0

	HopLength    = 8   // wide samples, 1.7 ms, that are weighed as one
	BlockLength  = 512 // wide samples, 107 ms, in which everything behind goes on
	blockHops    = BlockLength / HopLength
	BlockSeconds = BlockLength / WideRate
	KeptBlocks   = 600 // 64 s: what was heard before a signal is recognised
)

// CrashRatio makes a hop a crash of static: it is so much stronger than usual. The power of a hop of pure noise, the mean of about
// 6.7 independent exponential variables (4 kHz of 4.8), is above 4 times the median once in some ten million.
const CrashRatio = 4.0

// Front turns samples into blocks of wide baseband. Each hop has a weight: 1, or for a crash of static the usual power
// over its own, which is the best weight of noise that is so much stronger.
//
// The usual power is the greatest of three medians, over the block and those before and after it: a signal that
// begins, ends or is keyed is no crash, for it lasts.
type Front struct {
	baseband *demod.Baseband
	pending  []complex64
	z        []complex64 // ring of KeptBlocks
	weight   []float32   // of its hops
	taken    int64       // blocks in the ring
	ready    int64       // of which are weighed
	power    [KeptBlocks][blockHops]float32
	median   [KeptBlocks]float32 // of hops
	sorted   [blockHops]float32
}

// NewFront makes one for samples of a rate in Hz; it fails if there is no baseband of that rate.
func NewFront(rate float64) (*Front, error) {
	b, err := demod.NewBaseband(demod.BasebandConfig{
		SampleRate: rate, OutputRate: WideRate, CentreHz: WideCentreHz, PassHz: widePassHz,
	})
	if err != nil {
		return nil, err
	}
	return &Front{
		baseband: b,
		pending:  make([]complex64, 0, 4096),
		z:        make([]complex64, KeptBlocks*BlockLength),
		weight:   make([]float32, KeptBlocks*blockHops),
	}, nil
}

// Write appends samples in [-1, 1] to those that Take takes.
func (f *Front) Write(samples []float32) { f.pending = f.baseband.Append(f.pending, samples) }

// WriteWide appends samples of the wide baseband itself.
func (f *Front) WriteWide(z ...complex64) { f.pending = append(f.pending, z...) }

// Flush appends what the filters still hold.
func (f *Front) Flush() { f.pending = f.baseband.Flush(f.pending) }

// Ready is the number of blocks that are weighed.
func (f *Front) Ready() int64 { return f.ready }

// Reset forgets all.
func (f *Front) Reset() {
	f.baseband.Reset()
	f.pending = f.pending[:0]
	f.taken, f.ready = 0, 0
	f.median = [KeptBlocks]float32{}
}

// Block is the wide samples of a block that is ready, and the weights of its hops.
func (f *Front) Block(n int64) ([]complex64, []float32) {
	i := int(n % KeptBlocks)
	return f.z[i*BlockLength:][:BlockLength], f.weight[i*blockHops:][:blockHops]
}

// First is the number of the oldest block that is still there.
func (f *Front) First() int64 { return max(0, f.ready-KeptBlocks+2) }

// Take moves a block of pending samples into the ring; it says whether one became ready.
func (f *Front) Take() bool {
	if len(f.pending) < BlockLength {
		return false
	}
	f.put(f.pending[:BlockLength])
	f.pending = f.pending[:copy(f.pending, f.pending[BlockLength:])]
	return f.ready > 0
}

func (f *Front) put(x []complex64) {
	z, _ := f.Block(f.taken)
	copy(z, x)
	slot := f.taken % KeptBlocks
	p := &f.power[slot]
	for i := range p {
		sum := float32(0)
		for _, v := range z[i*HopLength:][:HopLength] {
			sum += real(v)*real(v) + imag(v)*imag(v)
		}
		p[i] = sum
	}
	f.sorted = *p
	slices.Sort(f.sorted[:])
	f.median[slot] = f.sorted[blockHops/2]
	f.taken++
	if f.taken < 2 {
		return
	}
	usual := CrashRatio * f.usual(f.ready)
	_, w := f.Block(f.ready)
	for i, p := range f.power[f.ready%KeptBlocks] {
		w[i] = 1
		if p > usual && p > 1e-30 {
			w[i] = max(usual/CrashRatio/p, 1e-6)
		}
	}
	f.ready++
}

// usual is the greatest of the medians of a block and its neighbours.
func (f *Front) usual(block int64) (most float32) {
	for b := max(block-1, 0); b <= block+1; b++ {
		most = max(most, f.median[b%KeptBlocks])
	}
	return most
}

// longCrashBlocks to either side are looked at in hindsight: a crash may be longer than a block, too long to be told
// from a signal that begins while it lasts.
const longCrashBlocks = 5

// Excess is the power between two times, in wide samples, over the usual one, in hindsight: over the medians of the half second
// before and of that after it, the greater of both.
func (f *Front) Excess(from, to float64) float64 {
	first := max(int64(from)/HopLength, f.First()*blockHops)
	last := min(int64(to)/HopLength+1, f.ready*blockHops)
	if first >= last {
		return 1
	}
	sum := 0.0
	for h := first; h < last; h++ {
		sum += float64(f.power[h/blockHops%KeptBlocks][h%blockHops])
	}
	b := first / blockHops
	usual := max(f.middle(b-longCrashBlocks, b+1), f.middle(b, b+longCrashBlocks+1))
	return sum / float64(last-first) / (float64(usual) + 1e-30)
}

// middle is the median of the blocks' medians.
func (f *Front) middle(from, to int64) float32 {
	from, to = max(from, f.First()), min(to, f.taken)
	medians := f.sorted[:0]
	for b := from; b < to; b++ {
		medians = append(medians, f.median[b%KeptBlocks])
	}
	if len(medians) == 0 {
		return 0
	}
	slices.Sort(medians)
	return medians[len(medians)/2]
}

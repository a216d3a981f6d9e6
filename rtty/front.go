package rtty

import (
	"slices"

	"ionoscribe/demod"
)

// The wide baseband: 0 to 4 kHz of audio as complex samples.
const (
	wideRate     = 4800.0 // Hz
	wideCentreHz = 2000.0
	widePassHz   = 2000.0

	hopLength    = 8   // wide samples, 1.7 ms, that are weighed as one
	blockLength  = 512 // wide samples, 107 ms, in which everything behind goes on
	blockHops    = blockLength / hopLength
	blockSeconds = blockLength / wideRate
	keptBlocks   = 600 // 64 s: what was heard before a signal is recognised
)

// A hop is a crash of static if it is so much stronger than usual. The power of a hop of pure noise, the mean of about
// 6.7 independent exponential variables (4 kHz of 4.8), is above 4 times the median once in some ten million.
const crashRatio = 4.0

// front turns samples into blocks of wide baseband. Each hop has a weight: 1, or for a crash of static the usual power
// over its own, which is the best weight of noise that is so much stronger.
//
// The usual power is the greatest of three medians, over the block and those before and after it: a signal that
// begins, ends or is keyed is no crash, for it lasts.
type front struct {
	baseband *demod.Baseband
	pending  []complex64
	z        []complex64 // ring of keptBlocks
	weight   []float32   // of its hops
	taken    int64       // blocks in the ring
	ready    int64       // of which are weighed
	power    [keptBlocks][blockHops]float32
	median   [keptBlocks]float32 // of hops
	sorted   [blockHops]float32
}

func newFront(rate float64) (*front, error) {
	b, err := demod.NewBaseband(demod.BasebandConfig{
		SampleRate: rate, OutputRate: wideRate, CentreHz: wideCentreHz, PassHz: widePassHz,
	})
	if err != nil {
		return nil, err
	}
	return &front{
		baseband: b,
		pending:  make([]complex64, 0, 4096),
		z:        make([]complex64, keptBlocks*blockLength),
		weight:   make([]float32, keptBlocks*blockHops),
	}, nil
}

func (f *front) reset() {
	f.baseband.Reset()
	f.pending = f.pending[:0]
	f.taken, f.ready = 0, 0
	f.median = [keptBlocks]float32{}
}

// block is the wide samples of a block that is ready, and the weights of its hops.
func (f *front) block(n int64) ([]complex64, []float32) {
	i := int(n % keptBlocks)
	return f.z[i*blockLength:][:blockLength], f.weight[i*blockHops:][:blockHops]
}

// first is the number of the oldest block that is still there.
func (f *front) first() int64 { return max(0, f.ready-keptBlocks+2) }

// take moves a block of pending samples into the ring; it says whether one became ready.
func (f *front) take() bool {
	if len(f.pending) < blockLength {
		return false
	}
	f.put(f.pending[:blockLength])
	f.pending = f.pending[:copy(f.pending, f.pending[blockLength:])]
	return f.ready > 0
}

func (f *front) put(x []complex64) {
	z, _ := f.block(f.taken)
	copy(z, x)
	slot := f.taken % keptBlocks
	p := &f.power[slot]
	for i := range p {
		sum := float32(0)
		for _, v := range z[i*hopLength:][:hopLength] {
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
	usual := crashRatio * f.usual(f.ready)
	_, w := f.block(f.ready)
	for i, p := range f.power[f.ready%keptBlocks] {
		w[i] = 1
		if p > usual && p > 1e-30 {
			w[i] = max(usual/crashRatio/p, 1e-6)
		}
	}
	f.ready++
}

// usual is the greatest of the medians of a block and its neighbours.
func (f *front) usual(block int64) (most float32) {
	for b := max(block-1, 0); b <= block+1; b++ {
		most = max(most, f.median[b%keptBlocks])
	}
	return most
}

// longCrashBlocks to either side are looked at in hindsight: a crash may be longer than a block, too long to be told
// from a signal that begins while it lasts.
const longCrashBlocks = 5

// excess is the power between two wide samples over the usual one, in hindsight: over the medians of the half second
// before and of that after it, the greater of both.
func (f *front) excess(from, to float64) float64 {
	first := max(int64(from)/hopLength, f.first()*blockHops)
	last := min(int64(to)/hopLength+1, f.ready*blockHops)
	if first >= last {
		return 1
	}
	sum := 0.0
	for h := first; h < last; h++ {
		sum += float64(f.power[h/blockHops%keptBlocks][h%blockHops])
	}
	b := first / blockHops
	usual := max(f.middle(b-longCrashBlocks, b+1), f.middle(b, b+longCrashBlocks+1))
	return sum / float64(last-first) / (float64(usual) + 1e-30)
}

// middle is the median of the blocks' medians.
func (f *front) middle(from, to int64) float32 {
	from, to = max(from, f.first()), min(to, f.taken)
	medians := f.sorted[:0]
	for b := from; b < to; b++ {
		medians = append(medians, f.median[b%keptBlocks])
	}
	if len(medians) == 0 {
		return 0
	}
	slices.Sort(medians)
	return medians[len(medians)/2]
}

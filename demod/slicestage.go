package demod

import (
	"math"
	"math/bits"
)

// sliceStage filters and resamples complex samples by real taps, all frequencies around 0 alike, without delay:
// output n is at input time n·in/out. One polyphase stage as in Baseband, of which bank.go tells more; an
// integer ratio has one phase, doubling has two.
type sliceStage struct {
	half        int         // taps reach from half-1 samples before the output's input sample to half after it
	phases      [][]float32 // phases[p] puts the output p/len(phases) of a sample later
	advanceInt  int64       // input samples from one output to the next: whole part
	advanceFrac uint64      // and fraction, 2^-64 samples

	buf    []complex64
	fill   int    // samples in buf
	base   int64  // input index of buf[0]
	time   int64  // next output's time in input samples: whole part
	timeFr uint64 // and fraction
}

// sliceDB is what each stage's stopband holds off. Up to three images of different stages may meet in a place, so
// 80 dB leave 70 for their sum.
const sliceDB = 80

// newSliceStage designs a stage from in Hz to out Hz, flat up to passHz and shut from stopHz on.
func newSliceStage(in, out, passHz, stopHz float64) *sliceStage {
	n := phaseCount(BasebandConfig{SampleRate: in, OutputRate: out, PassHz: passHz, AttenuationDB: sliceDB})
	half := 2 * int(math.Ceil(KaiserOrder(in, stopHz-passHz, sliceDB)/4)) // dotComplex takes taps by four
	cut, beta := (passHz+stopHz)/2/in, KaiserBeta(sliceDB)
	h := make([]float64, half*n) // one half of the symmetric prototype, at n points an input sample
	sum := 0.0
	for i := range h {
		h[i] = kaiserSinc(float64(i)/float64(n), cut, float64(half), beta)
		sum += 2 * h[i]
	}
	sum -= h[0]
	s := &sliceStage{half: half, phases: make([][]float32, n), buf: make([]complex64, 4*half+1024)}
	if ratio := math.Round(in / out); math.Abs(in-ratio*out) < 1e-12*in {
		s.advanceInt = int64(ratio) // out may be in divided by it, and rounded
	} else {
		s.advanceInt, s.advanceFrac = int64(in/out), turns(in, out)
	}
	for p := range s.phases {
		s.phases[p] = make([]float32, 2*half)
		for j := range s.phases[p] {
			if i := (half-1-j)*n + p; i != -half*n { // that is the window's open end
				s.phases[p][j] = float32(float64(n) / sum * h[max(i, -i)])
			}
		}
	}
	s.reset()
	return s
}

func (s *sliceStage) reset() {
	s.fill = s.half - 1 // zeros before the first sample
	s.base = -int64(s.fill)
	clear(s.buf[:s.fill])
	s.time, s.timeFr = 0, 0
}

// append takes a block of any length and appends to dst the outputs that became ready.
func (s *sliceStage) append(dst, block []complex64) []complex64 {
	for len(block) > 0 {
		n := copy(s.buf[s.fill:], block)
		s.fill += n
		block = block[n:]
		dst = s.run(dst)
	}
	return dst
}

// run makes the outputs whose samples are all in buf; then it makes room in a full buf.
func (s *sliceStage) run(dst []complex64) []complex64 {
	n, width := uint64(len(s.phases)), 2*s.half
	first := s.base + int64(s.half) - 1 // input index at the middle of a window at the start of buf
	ready := s.fill - width
	var start int
	for {
		hi, lo := bits.Mul64(s.timeFr, n) // the nearest phase
		p, i := hi+lo>>63, s.time
		if p == n {
			p, i = 0, i+1
		}
		if start = int(i - first); start > ready {
			break
		}
		dst = append(dst, dotComplex(s.phases[p], s.buf[start:][:width]))
		var carry uint64
		s.timeFr, carry = bits.Add64(s.timeFr, s.advanceFrac, 0)
		s.time += s.advanceInt + int64(carry)
	}
	if s.fill == len(s.buf) {
		drop := min(start, s.fill)
		s.fill = copy(s.buf, s.buf[drop:s.fill])
		s.base += int64(drop)
	}
	return dst
}

package demod

import (
	"fmt"
	"math"
	"math/bits"
)

// IQResampler filters and resamples complex samples by real taps, all frequencies around 0 alike, without delay:
// output n is at input time n·in/out. One polyphase stage as in Baseband, of which bank.go tells more; an
// integer ratio has one phase, doubling has two.
//
// It looks ahead: an output waits for half the filter. Whoever wants the last ones appends silence.
type IQResampler struct {
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

// NewIQResampler designs a stage from the rate in to the rate out: flat within ±passHz, and from stopHz on
// attenuated by attenuationDB (21 or more). What the output folds into the passband stays out if stopHz is no more
// than out - passHz, and the images of a higher output rate if it is no more than in - passHz. All in Hz.
//
// It panics unless 0 < passHz < stopHz <= in and the filter has at most 2^22 taps.
func NewIQResampler(in, out, passHz, stopHz, attenuationDB float64) *IQResampler {
	n := phaseCount(BasebandConfig{SampleRate: in, OutputRate: out, PassHz: passHz, AttenuationDB: attenuationDB})
	order := KaiserOrder(in, stopHz-passHz, attenuationDB)
	if !(passHz > 0 && passHz < stopHz && stopHz <= in && out > 0 && float64(n)*(order+4) <= maxTaps) {
		panic(fmt.Sprintf("demod: no resampler from %g to %g Hz with a transition from %g to %g Hz", in, out, passHz, stopHz))
	}
	half := 2 * int(math.Ceil(order/4)) // dotComplex takes taps by four
	cut, beta := (passHz+stopHz)/2/in, KaiserBeta(attenuationDB)
	h := make([]float64, half*n) // one half of the symmetric prototype, at n points an input sample
	sum := 0.0
	for i := range h {
		h[i] = kaiserSinc(float64(i)/float64(n), cut, float64(half), beta)
		sum += 2 * h[i]
	}
	sum -= h[0]
	s := &IQResampler{half: half, phases: make([][]float32, n), buf: make([]complex64, 4*half+1024)}
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
	s.Reset()
	return s
}

// Reset forgets all input; the next sample is the first again.
func (s *IQResampler) Reset() {
	s.fill = s.half - 1 // zeros before the first sample
	s.base = -int64(s.fill)
	clear(s.buf[:s.fill])
	s.time, s.timeFr = 0, 0
}

// Append takes a block of any length, of finite samples, and appends to dst the outputs that became ready. They do not
// depend on the lengths of the blocks. It allocates only when dst is too short.
func (s *IQResampler) Append(dst, block []complex64) []complex64 {
	for len(block) > 0 {
		n := copy(s.buf[s.fill:], block)
		s.fill += n
		block = block[n:]
		dst = s.run(dst)
	}
	return dst
}

// run makes the outputs whose samples are all in buf; then it makes room in a full buf.
func (s *IQResampler) run(dst []complex64) []complex64 {
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

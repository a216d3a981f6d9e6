package demod

import (
	"fmt"
	"io"
	"math"
)

// SliceRate is the rate in Hz of the audio that a Slice makes.
const SliceRate = 12000

// sliceMaxRate in Hz is beyond what receivers deliver over USB.
const sliceMaxRate = 4e6

// The passband of a Slice in Hz of audio: flat from SliceLowHz to SliceHighHz. Its edges (-6 dB) lie 100 Hz
// outside at 0 and 4600 Hz, and from 100 Hz beyond those on, in the other sideband too, all is held off by 70 dB.
const (
	SliceLowHz  = 100
	SliceHighHz = 4500

	sliceEdgeHz  = (SliceHighHz + SliceLowHz) / 2 // half the width between edges, which is also where the middle is
	sliceWorkHz  = 6000                           // rate of complex samples for the sharp filter: the band and a transition
	sliceReachHz = sliceEdgeHz + SliceLowHz       // of what a stage before the sharp filter must keep, around the middle
	sliceFirstHz = 16000                          // the first stage decimates to this rate or up to twice it; 96 kHz costs least so
	sliceBlock   = 1024                           // complex samples that pass through the stages at a time
	// What each stage's stopband holds off: three images of different stages may meet in a place, so that 70 dB are
	// left for their sum.
	sliceDB = 80
)

// SliceConfig describes a Slice. SampleRate is required.
type SliceConfig struct {
	SampleRate float64 // Hz of the complex input; 8000 to 4000000, fractional too
	DialHz     float64 // what becomes 0 Hz of audio: Hz from the centre of the input
	Lower      bool    // lower sideband: the audio is what lies below DialHz, mirrored
}

// Slice is a single-sideband receiver: it turns complex samples into the audio of one narrow part of their band.
// A signal at DialHz + f becomes audio of f Hz (at DialHz - f with Lower): A·exp(j(2π(DialHz+f)t+φ)) becomes
// A·cos(2πft+φ), without delay. Noise of density N0 (W/Hz of |z|²) becomes N0/2 (one-sided).
//
//	mix the middle of the band to 0 Hz ─► decimate by a whole number ─► resample to 6 kHz ─► sharp filter
//	─► 12 kHz ─► mix the middle to where it belongs, take the real part
//
// (D. K. Weaver, "A third method of generation and detection of single-sideband signals", Proc. IRE 44, 1956.)
//
// Output n is at input time n·SampleRate/12000 samples. Where the band reaches beyond half the sample rate it is cut
// there, half of the transition lying inside.
type Slice struct {
	rate   float64
	mix    Oscillator
	stages []*IQResampler
	unmix  Oscillator
	in     int64 // samples taken
	out    int64 // audio samples made
	mixed  []complex64
	work   [2][]complex64
}

// NewSlice checks c and makes a Slice.
func NewSlice(c SliceConfig) (*Slice, error) {
	// The comparisons are written so that NaN fails them.
	if !(c.SampleRate >= 8000 && c.SampleRate <= sliceMaxRate) {
		return nil, fmt.Errorf("demod: slice: sample rate of %g Hz is not between 8000 and 4000000", c.SampleRate)
	}
	if !(math.Abs(c.DialHz) <= c.SampleRate/2) {
		return nil, fmt.Errorf("demod: slice: %g Hz is not within %g Hz of the centre", c.DialHz, c.SampleRate/2)
	}
	side := 1.0
	if c.Lower {
		side = -1
	}
	// The band from the dial on, in the direction of the sideband, up to half the sample rate.
	width := min(2*sliceEdgeHz, c.SampleRate/2-side*c.DialHz)
	const least = 500 // something must remain between the transitions
	if width < least {
		return nil, fmt.Errorf("demod: slice: less than %d Hz remain between %g Hz and the edge of the band of ±%g Hz",
			least, c.DialHz, c.SampleRate/2)
	}
	s := &Slice{rate: c.SampleRate, mixed: make([]complex64, sliceBlock)}
	rate := c.SampleRate
	if d := math.Floor(rate / sliceFirstHz); d > 1 {
		s.stages = append(s.stages, NewIQResampler(rate, rate/d, sliceReachHz, rate/d-sliceReachHz, sliceDB))
		rate /= d
	}
	s.stages = append(s.stages,
		NewIQResampler(rate, sliceWorkHz, sliceReachHz, sliceWorkHz-sliceReachHz, sliceDB),
		NewIQResampler(sliceWorkHz, sliceWorkHz, width/2-SliceLowHz, width/2+SliceLowHz, sliceDB),
		NewIQResampler(sliceWorkHz, SliceRate, sliceReachHz, sliceWorkHz-sliceReachHz, sliceDB),
	)
	s.mix = NewOscillator(c.SampleRate, -(c.DialHz + side*width/2))
	s.unmix = NewOscillator(SliceRate, side*width/2)
	s.Reset()
	return s, nil
}

// Rate is that of the audio in Hz, SliceRate.
func (s *Slice) Rate() float64 { return SliceRate }

// InputTime is the time, in input samples, of audio sample n.
func (s *Slice) InputTime(n int64) float64 { return float64(n) * s.rate / SliceRate }

// Reset forgets all input; the next sample is the first again.
func (s *Slice) Reset() {
	for _, st := range s.stages {
		st.Reset()
	}
	s.mix.JumpTo(0)
	s.unmix.JumpTo(0)
	s.in, s.out = 0, 0
}

// Append takes a block of any length and appends to dst the audio that became ready. It does not depend on the
// lengths of the blocks. NaN, infinities and samples beyond 2^32 count as silence. It allocates only when dst is too
// short.
func (s *Slice) Append(dst []float32, block []complex64) []float32 {
	s.in += int64(len(block))
	return s.run(dst, block)
}

func (s *Slice) run(dst []float32, block []complex64) []float32 {
	for len(block) > 0 {
		n := min(len(block), sliceBlock)
		z := s.mixed[:n]
		for i, v := range block[:n] {
			z[i] = soundIQ(v)
		}
		block = block[n:]
		s.mix.Mix(z, z)
		for i, st := range s.stages {
			w := &s.work[i&1]
			*w = st.Append((*w)[:0], z)
			z = *w
		}
		for _, v := range z {
			w := s.unmix.Next()
			dst = append(dst, real(v)*real(w)-imag(v)*imag(w))
		}
		s.out += int64(len(z))
	}
	return dst
}

// Flush appends the audio up to the last input sample, as if silence followed, and then starts afresh like Reset.
func (s *Slice) Flush(dst []float32) []float32 {
	if s.in == 0 {
		return dst
	}
	want := int64(float64(s.in-1)*SliceRate/s.rate) + 1 // exact where it matters: the quotient of whole numbers
	var silence [256]complex64
	for s.out < want {
		dst = s.run(dst, silence[:])
	}
	dst = dst[:len(dst)-int(s.out-want)]
	s.Reset()
	return dst
}

// SliceReader reads the audio of a Slice from complex samples.
type SliceReader struct {
	slice *Slice
	src   IQReader
	block []complex64
	audio []float32 // not yet delivered from at on
	at    int
	err   error // that ended the input
}

var _ SampleReader = (*SliceReader)(nil)

// NewSliceReader makes a receiver for src, whose rate replaces that of c.
func NewSliceReader(src IQReader, c SliceConfig) (*SliceReader, error) {
	c.SampleRate = src.SampleRate()
	s, err := NewSlice(c)
	if err != nil {
		return nil, err
	}
	return &SliceReader{slice: s, src: src, block: make([]complex64, 4*sliceBlock)}, nil
}

// SampleRate is SliceRate.
func (r *SliceReader) SampleRate() float64 { return SliceRate }

// ReadSamples implements SampleReader. The audio of all that came before an error precedes it.
func (r *SliceReader) ReadSamples(dst []float32) (int, error) {
	for tries := 0; r.at == len(r.audio) && len(dst) > 0; tries++ {
		if r.err != nil {
			return 0, r.err
		}
		var n int
		n, r.err = r.src.ReadIQ(r.block)
		if n == 0 && r.err == nil && tries > 100 {
			r.err = io.ErrNoProgress
		}
		r.audio, r.at = r.slice.Append(r.audio[:0], r.block[:n]), 0
		if r.err != nil {
			r.audio = r.slice.Flush(r.audio)
		}
	}
	n := copy(dst, r.audio[r.at:])
	r.at += n
	return n, nil
}

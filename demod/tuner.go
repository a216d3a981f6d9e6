package demod

import (
	"fmt"
	"io"
	"math"
)

// TunerRate is the rate in Hz of the audio that a Tuner makes.
const TunerRate = 12000

// tunerMaxRate in Hz is beyond what receivers deliver over USB.
const tunerMaxRate = 4e6

// The passband of a Tuner in Hz of audio: flat from TunerLowHz to TunerHighHz. Its edges (-6 dB) lie 100 Hz
// outside at 0 and 4600 Hz, and from 100 Hz beyond those on, in the other sideband too, all is held off by 70 dB.
const (
	TunerLowHz  = 100
	TunerHighHz = 4500

	tunerEdgeHz  = (TunerHighHz + TunerLowHz) / 2 // half the width between edges, which is also where the middle is
	tunerWorkHz  = 6000                           // rate of complex samples for the sharp filter: the band and a transition
	tunerReachHz = tunerEdgeHz + TunerLowHz       // of what a stage before the sharp filter must keep, around the middle
	tunerFirstHz = 16000                          // the first stage decimates to this rate or up to twice it; 96 kHz costs least so
	tunerBlock   = 1024                           // complex samples that pass through the stages at a time
	// What each stage's stopband holds off: three images of different stages may meet in a place, so that 70 dB are
	// left for their sum.
	tunerDB = 80
)

// TunerConfig describes a Tuner. SampleRate is required.
type TunerConfig struct {
	SampleRate float64 // Hz of the complex input; 8000 to 4000000, fractional too
	DialHz     float64 // what becomes 0 Hz of audio: Hz from the centre of the input
	Lower      bool    // lower sideband: the audio is what lies below DialHz, mirrored
}

// Tuner is a single-sideband receiver: it turns complex samples into the audio of one narrow part of their band.
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
type Tuner struct {
	rate   float64
	mix    Oscillator
	stages []*IQResampler
	unmix  Oscillator
	in     int64 // samples taken
	out    int64 // audio samples made
	mixed  []complex64
	work   [2][]complex64
}

// NewTuner checks c and makes a Tuner.
func NewTuner(c TunerConfig) (*Tuner, error) {
	// The comparisons are written so that NaN fails them.
	if !(c.SampleRate >= 8000 && c.SampleRate <= tunerMaxRate) {
		return nil, fmt.Errorf("demod: tuner: sample rate of %g Hz is not between 8000 and 4000000", c.SampleRate)
	}
	if !(math.Abs(c.DialHz) <= c.SampleRate/2) {
		return nil, fmt.Errorf("demod: tuner: %g Hz is not within %g Hz of the centre", c.DialHz, c.SampleRate/2)
	}
	side := 1.0
	if c.Lower {
		side = -1
	}
	// The band from the dial on, in the direction of the sideband, up to half the sample rate.
	width := min(2*tunerEdgeHz, c.SampleRate/2-side*c.DialHz)
	const least = 500 // something must remain between the transitions
	if width < least {
		return nil, fmt.Errorf("demod: tuner: less than %d Hz remain between %g Hz and the edge of the band of ±%g Hz",
			least, c.DialHz, c.SampleRate/2)
	}
	s := &Tuner{rate: c.SampleRate, mixed: make([]complex64, tunerBlock)}
	rate := c.SampleRate
	if d := math.Floor(rate / tunerFirstHz); d > 1 {
		s.stages = append(s.stages, NewIQResampler(rate, rate/d, tunerReachHz, rate/d-tunerReachHz, tunerDB))
		rate /= d
	}
	s.stages = append(s.stages,
		NewIQResampler(rate, tunerWorkHz, tunerReachHz, tunerWorkHz-tunerReachHz, tunerDB),
		NewIQResampler(tunerWorkHz, tunerWorkHz, width/2-TunerLowHz, width/2+TunerLowHz, tunerDB),
		NewIQResampler(tunerWorkHz, TunerRate, tunerReachHz, tunerWorkHz-tunerReachHz, tunerDB),
	)
	s.mix = NewOscillator(c.SampleRate, -(c.DialHz + side*width/2))
	s.unmix = NewOscillator(TunerRate, side*width/2)
	s.Reset()
	return s, nil
}

// Rate is that of the audio in Hz, TunerRate.
func (t *Tuner) Rate() float64 { return TunerRate }

// InputTime is the time, in input samples, of audio sample n.
func (t *Tuner) InputTime(n int64) float64 { return float64(n) * t.rate / TunerRate }

// Reset forgets all input; the next sample is the first again.
func (t *Tuner) Reset() {
	for _, st := range t.stages {
		st.Reset()
	}
	t.mix.JumpTo(0)
	t.unmix.JumpTo(0)
	t.in, t.out = 0, 0
}

// Append takes a block of any length and appends to dst the audio that became ready. It does not depend on the
// lengths of the blocks. NaN, infinities and samples beyond 2^32 count as silence. It allocates only when dst is too
// short.
func (t *Tuner) Append(dst []float32, block []complex64) []float32 {
	t.in += int64(len(block))
	return t.run(dst, block)
}

func (t *Tuner) run(dst []float32, block []complex64) []float32 {
	for len(block) > 0 {
		n := min(len(block), tunerBlock)
		z := t.mixed[:n]
		for i, v := range block[:n] {
			z[i] = soundIQ(v)
		}
		block = block[n:]
		t.mix.Mix(z, z)
		for i, st := range t.stages {
			w := &t.work[i&1]
			*w = st.Append((*w)[:0], z)
			z = *w
		}
		for _, v := range z {
			w := t.unmix.Next()
			dst = append(dst, real(v)*real(w)-imag(v)*imag(w))
		}
		t.out += int64(len(z))
	}
	return dst
}

// Flush appends the audio up to the last input sample, as if silence followed, and then starts afresh like Reset.
func (t *Tuner) Flush(dst []float32) []float32 {
	if t.in == 0 {
		return dst
	}
	want := int64(float64(t.in-1)*TunerRate/t.rate) + 1 // exact where it matters: the quotient of whole numbers
	var silence [256]complex64
	for t.out < want {
		dst = t.run(dst, silence[:])
	}
	dst = dst[:len(dst)-int(t.out-want)]
	t.Reset()
	return dst
}

// TunerReader reads the audio of a Tuner from complex samples.
type TunerReader struct {
	tuner *Tuner
	src   IQReader
	block []complex64
	audio []float32 // not yet delivered from at on
	at    int
	err   error // that ended the input
}

var _ SampleReader = (*TunerReader)(nil)

// NewTunerReader makes a receiver for src, whose rate replaces that of c.
func NewTunerReader(src IQReader, c TunerConfig) (*TunerReader, error) {
	c.SampleRate = src.SampleRate()
	s, err := NewTuner(c)
	if err != nil {
		return nil, err
	}
	return &TunerReader{tuner: s, src: src, block: make([]complex64, 4*tunerBlock)}, nil
}

// SampleRate is TunerRate.
func (r *TunerReader) SampleRate() float64 { return TunerRate }

// ReadSamples implements SampleReader. The audio of all that came before an error precedes it.
func (r *TunerReader) ReadSamples(dst []float32) (int, error) {
	for tries := 0; r.at == len(r.audio) && len(dst) > 0; tries++ {
		if r.err != nil {
			return 0, r.err
		}
		var n int
		n, r.err = r.src.ReadIQ(r.block)
		if n == 0 && r.err == nil && tries > 100 {
			r.err = io.ErrNoProgress
		}
		r.audio, r.at = r.tuner.Append(r.audio[:0], r.block[:n]), 0
		if r.err != nil {
			r.audio = r.tuner.Flush(r.audio)
		}
	}
	n := copy(dst, r.audio[r.at:])
	r.at += n
	return n, nil
}

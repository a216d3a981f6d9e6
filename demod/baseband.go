package demod

import (
	"fmt"
	"math"
	"math/bits"
)

// BasebandConfig describes a Baseband. SampleRate, OutputRate and PassHz are required.
type BasebandConfig struct {
	SampleRate    float64 // Hz of the real input; 6000 to 192000, fractional too
	OutputRate    float64 // Hz of the complex output
	CentreHz      float64 // input frequency that becomes 0 Hz; from 0 to SampleRate/2
	PassHz        float64 // half width of the flat passband, Hz
	StopHz        float64 // attenuated from this distance from the centre on, Hz; zero: OutputRate-PassHz, so that aliases fall outside the passband
	AttenuationDB float64 // of the stopband, 21 to 150; zero: 50
}

// Baseband turns real samples into complex ones at a low rate around a centre frequency.
//
// Output n, counted from the start, Reset or Flush, is the analytic baseband at input time
// n·SampleRate/OutputRate samples: A·cos(2π(CentreHz+f)t+φ) becomes A·exp(j(2πft+φ)), with no delay, because
// the filter is symmetric and looks ahead by half its length. Input before the first sample counts as zero.
//
// One polyphase stage does it all: y[n] = exp(-jωi) Σ x[i-k]·2h(k+d)·exp(jωk), where i+d is the output's time
// in input samples, h the Kaiser low-pass and ω the centre frequency. The taps are a band-pass, so a tap costs
// two real multiply-adds, and the mixer runs at the output rate.
//
// A band that would reach below 0 Hz or above SampleRate/2, where a real signal has its mirror image, is cut
// at that limit: half of the transition lies inside, and what is in there (within (StopHz-PassHz)/2 of the
// limit) keeps a weakened image. At 6 kHz, centre 1900, PassHz 1400, StopHz 2200 the flat band is 500-2600 Hz.
type Baseband struct {
	*bank
	rate   float64 // Hz
	buf    []float32
	fill   int   // samples in buf
	base   int64 // input index of buf[0]
	time   int64 // next output's time in input samples: whole part
	timeFr uint64
}

// NewBaseband checks c and makes a Baseband. Instances of equal configuration share their tables.
func NewBaseband(c BasebandConfig) (*Baseband, error) {
	if c.StopHz == 0 {
		c.StopHz = c.OutputRate - c.PassHz
	}
	if c.AttenuationDB == 0 {
		c.AttenuationDB = 50
	}
	// The comparisons are written so that NaN fails them.
	bad := ""
	switch {
	case !(c.SampleRate >= 1 && c.SampleRate <= 1e9):
		bad = fmt.Sprintf("sample rate of %g Hz", c.SampleRate)
	case !(c.OutputRate > 0 && c.OutputRate <= 1e9 && c.SampleRate/c.OutputRate <= 1e9):
		bad = fmt.Sprintf("output rate of %g Hz", c.OutputRate)
	case !(c.CentreHz >= 0 && c.CentreHz <= c.SampleRate/2):
		bad = fmt.Sprintf("centre of %g Hz is not between 0 and half the sample rate of %g Hz", c.CentreHz, c.SampleRate)
	case !(c.PassHz > 0 && c.PassHz < c.StopHz):
		bad = fmt.Sprintf("no transition between passband of %g Hz and stopband from %g Hz", c.PassHz, c.StopHz)
	case !(c.StopHz <= (c.OutputRate-c.PassHz)*(1+1e-12)):
		bad = fmt.Sprintf("stopband from %g Hz lets aliases into the passband of %g Hz at an output rate of %g Hz", c.StopHz, c.PassHz, c.OutputRate)
	case !(c.AttenuationDB >= 21 && c.AttenuationDB <= 150):
		bad = fmt.Sprintf("attenuation of %g dB is not between 21 and 150", c.AttenuationDB)
	}
	if bad != "" {
		return nil, fmt.Errorf("demod: baseband: %s", bad)
	}
	t, err := sharedBank(c)
	if err != nil {
		return nil, err
	}
	b := &Baseband{bank: t, rate: c.OutputRate, buf: make([]float32, 4*t.half+1024)}
	b.Reset()
	return b, nil
}

// Rate is the output rate in Hz.
func (b *Baseband) Rate() float64 { return b.rate }

// Reset forgets all input; the next sample is the first again. The tables stay.
func (b *Baseband) Reset() {
	b.fill = b.half - 1 // zeros before the first sample
	b.base = -int64(b.fill)
	clear(b.buf[:b.fill])
	b.time, b.timeFr = 0, 0
}

// Append takes a block of any length and appends to dst the outputs that became ready. They do not depend on
// the lengths of the blocks. NaN, infinities and samples beyond 2^32 count as silence. It allocates only when
// dst is too short.
func (b *Baseband) Append(dst []complex64, block []float32) []complex64 {
	for len(block) > 0 {
		room := b.buf[b.fill:]
		n := min(len(room), len(block))
		copySound(room[:n], block[:n])
		b.fill += n
		block = block[n:]
		dst = b.run(dst, math.MaxInt64)
	}
	return dst
}

// copySound copies samples; what is none becomes 0: from 2^32 on (any integer scaling stays below), infinite or
// NaN. That keeps every later sum finite. len(dst) is len(src).
func copySound(dst, src []float32) {
	const exponent, limit = 0xff << 23, (127 + 32) << 23 // of IEEE 754 binary32
	dst = dst[:len(src)]
	for i, v := range src {
		if math.Float32bits(v)&exponent >= limit {
			v = 0
		}
		dst[i] = v
	}
}

// Flush appends the outputs up to the last input sample, as if silence followed, and then starts afresh like Reset.
func (b *Baseband) Flush(dst []complex64) []complex64 {
	last := b.base + int64(b.fill) - 1
	for left := b.half; left > 0; {
		n := min(left, len(b.buf)-b.fill)
		clear(b.buf[b.fill:][:n])
		b.fill += n
		left -= n
		dst = b.run(dst, last)
	}
	b.Reset()
	return dst
}

// run makes the outputs whose samples are all in buf and whose time is not after the input index last; then
// it makes room in a full buf.
func (b *Baseband) run(dst []complex64, last int64) []complex64 {
	t := b.bank
	n := uint64(len(t.phases))
	width := 2 * t.half
	first := b.base + int64(t.half) - 1 // input index at the middle of a window at the start of buf
	ready := b.fill - width
	time, frac := b.time, b.timeFr
	var start int
	for {
		// The nearest phase; for a ratio of small numbers this rounds the 2^-65 error of frac away.
		hi, lo := bits.Mul64(frac, n)
		p := hi + lo>>63
		i := time
		if p == n {
			p, i = 0, i+1
		}
		start = int(i - first)
		if start > ready || i > last || i == last && p > 0 {
			break
		}
		re, im := dot(t.phases[p], b.buf[start:][:width])
		w := expTurns(-t.turn * uint64(i))
		dst = append(dst, complex(re*real(w)-im*imag(w), re*imag(w)+im*real(w)))
		var carry uint64
		frac, carry = bits.Add64(frac, t.advanceFrac, 0)
		time += t.advanceInt + int64(carry)
	}
	b.time, b.timeFr = time, frac
	if b.fill == len(b.buf) {
		drop := min(start, b.fill) // the next window may start beyond buf
		b.fill = copy(b.buf, b.buf[drop:b.fill])
		b.base += int64(drop)
	}
	return dst
}

// dot is Σ taps[k]·x[k]; len(x) is 8·len(taps). Two running sums of each part, each fed two products at a time,
// keep the adders busy without waiting for the last result and fit the sixteen registers.
func dot(taps []tapGroup, x []float32) (re, im float32) {
	var r0, r1, i0, i1 float32
	for k := range taps {
		if len(x) < 8 {
			break // never; it spares the bounds checks below
		}
		t := &taps[k]
		r0 += t.re[0]*x[0] + t.re[2]*x[2]
		i0 += t.im[0]*x[0] + t.im[2]*x[2]
		r1 += t.re[1]*x[1] + t.re[3]*x[3]
		i1 += t.im[1]*x[1] + t.im[3]*x[3]
		r0 += t.re[4]*x[4] + t.re[6]*x[6]
		i0 += t.im[4]*x[4] + t.im[6]*x[6]
		r1 += t.re[5]*x[5] + t.re[7]*x[7]
		i1 += t.im[5]*x[5] + t.im[7]*x[7]
		x = x[8:]
	}
	return r0 + r1, i0 + i1
}

package demod

import "math"

// Oscillator turns a complex exponential at a fixed frequency. Its phase is a 64-bit fraction of a turn, so
// addition wraps where the phase does and nothing is lost: the frequency is right to 2^-65 cycles/sample,
// which after a week at 192 kHz (1.2e11 samples) makes 2e-8 rad. The zero value stands still at phase 0.
type Oscillator struct {
	phase, step uint64 // 2^64 is one turn; step per sample
}

// NewOscillator makes an oscillator of freqHz (of either sign) at rate Hz, starting at phase 0.
func NewOscillator(rate, freqHz float64) Oscillator { return Oscillator{step: turns(freqHz, rate)} }

// Tune changes the frequency to freqHz at rate Hz; the phase goes on without a step.
func (o *Oscillator) Tune(rate, freqHz float64) { o.step = turns(freqHz, rate) }

// Next returns exp(jφ) for the current sample and moves on to the next.
func (o *Oscillator) Next() complex64 {
	z := expTurns(o.phase)
	o.phase += o.step
	return z
}

// JumpTo sets the phase to that of sample n, counted from phase 0.
func (o *Oscillator) JumpTo(n int64) { o.phase = o.step * uint64(n) }

// Mix sets dst[i] = src[i]·exp(jφ) and moves on by len(src) samples; dst may be src.
// It panics if the lengths differ.
func (o *Oscillator) Mix(dst, src []complex64) {
	if len(dst) != len(src) {
		panic("demod: Mix: lengths differ")
	}
	phase := o.phase
	for i, z := range src {
		w := expTurns(phase)
		dst[i] = mul(z, w)
		phase += o.step
	}
	o.phase = phase
}

// mul is a·b; spelt out it stays in float32 and in line.
func mul(a, b complex64) complex64 {
	return complex(real(a)*real(b)-imag(a)*imag(b), real(a)*imag(b)+imag(a)*real(b))
}

// turns is a/b modulo 1 in units of 2^-64 turns. The remainder of the division, which FMA yields exactly,
// adds the bits that a float64 quotient lacks. |a/b| must stay below 2^50.
func turns(a, b float64) uint64 {
	if a < 0 {
		return -turns(-a, b)
	}
	q := a / b
	rest := math.FMA(-q, b, a) / b
	return uint64(math.Ldexp(q-math.Floor(q), 64)) + uint64(int64(math.RoundToEven(math.Ldexp(rest, 64))))
}

const (
	circleBits = 10
	circleLow  = 64 - circleBits
)

// circle holds exp(2πj·i/1024).
var circle = func() (c [1 << circleBits]complex64) {
	for i := range c {
		s, co := math.Sincos(2 * math.Pi * float64(i) / float64(len(c)))
		c[i] = complex(float32(co), float32(s))
	}
	return c
}()

// expTurns is exp(2πj·phase/2^64): the nearest of 1024 points of the circle times 1 - d²/2 + jd for the
// remaining angle |d| <= π/1024. What the series lacks, d³/6, is below 5e-9; float32 rounding is larger.
func expTurns(phase uint64) complex64 {
	near := (phase + 1<<(circleLow-1)) >> circleLow
	d := float32(int64(phase-near<<circleLow)) * (2 * math.Pi / (1 << 64))
	c := circle[near&(1<<circleBits-1)]
	e := 1 - d*d/2
	return complex(real(c)*e-imag(c)*d, imag(c)*e+real(c)*d)
}

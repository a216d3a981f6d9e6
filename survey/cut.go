package survey

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"sync"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Cuts are audio of some cutRate in which a candidate is alone. Filters are made in the frequency domain: a bin is
// either kept, or replaced by noise.
const (
	cutRate = 8000 // Hz, about
	edgeHz  = 15.0 // over which the candidate goes over into noise
	// sliceShare is the rate after the first filter, at least, over the greatest distance from its middle that is kept: what
	// is an alias of it after three running means has (1/10)³ of its amplitude.
	sliceShare = 11.0
	// sliceStep is from rate to rate, lest there be many.
	sliceStep = math.Sqrt2
)

// Work, measured: of making a second of a cut, by its rates, and of an envelope. That of judges they tell themselves.
const (
	cutWork      = 200.0
	cutInWork    = 0.045 // a complex sample that is transformed
	cutRawWork   = 0.005 // a sample before
	envelopeWork = 10.0
	envelopeRaw  = 0.0007
)

// cutter makes cuts.
type cutter struct {
	ring  *ring
	rate  float64
	plans map[planKey]*plan
	mixed []complex128
	raw   []float64
	taps  []float64
	turns []complex128 // of an envelope
	work  float64      // that was done, see budget
	spec  []complex128
	half  []complex128
	real  []float64
	audio []float32
}

// planKey is the length of a transform of samples of which each is one of so many.
type planKey struct{ length, decimation int }

// plan has the transforms for a length.
type plan struct {
	length, out int
	forward     *fourier.CmplxFFT
	whole       *fourier.FFT // instead of forward, of real samples that are not decimated
	back        *fourier.FFT
}

func newCutter(r *ring, rate float64) *cutter {
	return &cutter{ring: r, rate: rate, plans: map[planKey]*plan{}}
}

// mix moves hz to 0 in the samples from index from on, and decimates by d with three running means. It returns n values.
func (c *cutter) mix(hz float64, from int64, n, d int) []complex128 {
	if cap(c.mixed) < n {
		c.mixed = make([]complex128, n)
	}
	out := c.mixed[:n]
	step := -2 * math.Pi * hz / c.rate
	sin, cos := math.Sincos(step)
	turn := complex(cos, sin)
	var w complex128
	r := c.ring
	i, at := from%r.size, 0
	next := func() (v complex128) {
		if at%512 == 0 {
			s, c := math.Sincos(math.Mod(step*float64(at), 2*math.Pi))
			w = complex(c, s)
		}
		if r.iq != nil {
			v = complex128(r.iq[i]) * w
		} else {
			x := float64(r.real[i])
			v = complex(x*real(w), x*imag(w))
		}
		w *= turn
		at++
		if i++; i == r.size {
			i = 0
		}
		return v
	}
	if d == 1 {
		for k := range out {
			out[k] = next()
		}
		return out
	}
	// The three running means are one filter of less than 3d taps, and an output takes in three blocks of d.
	h := c.means(d)
	var p1, p2 complex128 // what the blocks before give to the present output
	for k := -2; k < n; k++ {
		var a, b, e complex128
		for j := range d {
			v := next()
			a += v * complex(h[j], 0)
			b += v * complex(h[d+j], 0)
			e += v * complex(h[2*d+j], 0)
		}
		if k >= 0 {
			out[k] = p2 + e
		}
		p1, p2 = a, p1+b
	}
	return out
}

// means is the convolution of three running means of d values, with zeros up to 3d.
func (c *cutter) means(d int) []float64 {
	if len(c.taps) == 3*d {
		return c.taps
	}
	c.taps = make([]float64, 3*d)
	scale := 1 / float64(d*d*d)
	for i := range d {
		for j := range d {
			for k := range d {
				c.taps[i+j+k] += scale
			}
		}
	}
	return c.taps
}

// cut is audio from sample from to to in which what lies between low and high is moved so that hz is at audioHz, and
// all else is noise of a density. rate is that of the audio. It is valid until the next cut.
func (c *cutter) cut(from, to int64, low, high, hz, audioHz, density float64) (audio []float32, rate float64) {
	d := c.decimation(max(hz-low, high-hz) + edgeHz)
	p := c.plan(int(to-from)/d-2, d)
	inRate := c.rate / float64(d)
	rate = inRate * float64(p.out) / float64(p.length)
	binHz := inRate / float64(p.length)
	at := c.transform(p, from, hz, d) // of 0 Hz
	half := c.half[:p.out/2+1]
	other := noise()
	sigma := math.Sqrt(density * binHz / 2)
	shift := int(math.Round(audioHz / binHz))
	scale := 1 / float64(p.length)
	for k := range half {
		off := float64(k-shift) * binHz // from hz
		share := within(off, low-hz, high-hz)
		v := complex(0, 0)
		if share < 1 {
			v = other[k%len(other)] * complex(sigma*math.Sqrt(1-share*share), 0)
		}
		if share > 0 {
			v += p.value(c.spec, at+k-shift) * complex(share*scale/c.drop(off, d), 0)
		}
		half[k] = v
	}
	half[0] = 0
	if p.out%2 == 0 {
		half[len(half)-1] = 0
	}
	x := p.back.Sequence(c.real[:p.out], half)
	audio = c.audio[:p.out]
	for i, v := range x {
		audio[i] = float32(v)
	}
	return audio, rate
}

// transform sets the spectrum of what is around hz, and says which of its lines is that of hz.
func (c *cutter) transform(p *plan, from int64, hz float64, d int) (line int) {
	seconds := float64(p.length*d) / c.rate
	c.work += seconds * (cutWork + cutRawWork*c.rate)
	if p.whole == nil {
		c.work += seconds * cutInWork * c.rate / float64(d)
		p.forward.Coefficients(c.spec[:p.length], c.mix(hz, from, p.length, d))
		return 0
	}
	c.work += seconds * cutInWork / 2 * c.rate
	if len(c.raw) < p.length {
		c.raw = make([]float64, p.length)
	}
	x, r := c.raw[:p.length], c.ring
	for k := range x {
		x[k] = float64(r.real[(from+int64(k))%r.size])
	}
	p.whole.Coefficients(c.spec[:p.length/2+1], x)
	return int(math.Round(hz * float64(p.length) / c.rate))
}

// value is a line of a spectrum.
func (p *plan) value(spec []complex128, line int) complex128 {
	switch {
	case p.whole == nil && line < 0:
		return spec[line+p.length]
	case p.whole == nil:
		return spec[line]
	case line < 0:
		return cmplx.Conj(p.value(spec, -line))
	case line > p.length/2:
		return 0
	}
	return spec[line]
}

// within is 1 between two frequencies, and falls as a cosine to 0 beyond them.
func within(hz, low, high float64) float64 {
	d := max(low-hz, hz-high)
	switch {
	case d <= 0:
		return 1
	case d >= edgeHz:
		return 0
	}
	return math.Cos(math.Pi / 2 * d / edgeHz)
}

// decimation is by how much samples are decimated of which no more is needed than what is within reach of the middle.
func (c *cutter) decimation(reach float64) int {
	reach = math.Pow(sliceStep, math.Ceil(math.Log(reach)/math.Log(sliceStep)))
	most := max(1, int(c.rate/(sliceShare*reach)))
	for d := most; d > 1; d-- {
		if in := c.rate / float64(d); in == math.Round(in) && isPart(int(in)) {
			return d
		}
	}
	if isPart(int(c.rate)) && c.rate == math.Round(c.rate) {
		return 1
	}
	return most
}

// drop is the response of three running means of d values at a frequency.
func (c *cutter) drop(hz float64, d int) float64 {
	x := math.Pi * hz / c.rate
	if d == 1 || math.Abs(x) < 1e-9 {
		return 1
	}
	v := math.Sin(float64(d)*x) / (float64(d) * math.Sin(x))
	return v * v * v
}

// plan has transforms of a length up to n of samples that were decimated by d; of these there are few.
func (c *cutter) plan(n, d int) *plan {
	length, out := c.lengths(n, d)
	if p := c.plans[planKey{length, d}]; p != nil {
		return p
	}
	p := &plan{length: length, out: out, back: fourier.NewFFT(out)}
	if d == 1 && c.ring.iq == nil {
		p.whole = fourier.NewFFT(length)
	} else {
		p.forward = fourier.NewCmplxFFT(length)
	}
	c.plans[planKey{length, d}] = p
	if len(c.spec) < length {
		c.spec = make([]complex128, length)
	}
	if len(c.real) < out {
		c.real, c.half, c.audio = make([]float64, out), make([]complex128, out/2+1), make([]float32, out)
	}
	return p
}

// lengths are those of the transforms there and back, with small prime factors: in a ratio that makes the rate of the audio
// cutRate, or, if the sample rate is an odd one, nearly so.
func (c *cutter) lengths(n, d int) (length, out int) {
	in := c.rate / float64(d)
	if in == math.Round(in) && isPart(int(in)) {
		g := gcd(int(in), cutRate)
		k := smooth(n / (int(in) / g))
		return k * int(in) / g, k * cutRate / g
	}
	length = smooth(n)
	for out = int(float64(length) * cutRate / in); !isSmooth(out); out++ {
	}
	return length, out
}

// isPart says that lengths of some parts of a second fit a rate as well as cutRate.
func isPart(rate int) bool {
	const leastParts = 20 // a second
	g := gcd(rate, cutRate)
	return g >= leastParts && isSmooth(rate/g)
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// smooth is the greatest number up to n whose prime factors are 2, 3, 5 and 7: no small part of n.
func smooth(n int) int {
	for ; n > 1 && !isSmooth(n); n-- {
	}
	return max(n, 1)
}

func isSmooth(n int) bool {
	for _, p := range []int{2, 3, 5, 7} {
		for n > 0 && n%p == 0 {
			n /= p
		}
	}
	return n == 1
}

// noise is enough for the longest cut, the same every time. Less, used twice, would be no noise: it would have pulses.
var noise = sync.OnceValue(func() []complex128 {
	rng := rand.New(rand.NewPCG(1, 2))
	z := make([]complex128, 1<<17)
	for i := range z {
		z[i] = complex(rng.NormFloat64(), rng.NormFloat64())
	}
	return z
})

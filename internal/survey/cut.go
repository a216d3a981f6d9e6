package survey

import (
	"math"
	"math/rand/v2"
	"sync"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Cuts are audio of some cutRate in which a candidate is alone. Filters are made in the frequency domain: a bin is
// either kept, or replaced by noise.
const (
	cutRate   = 8000    // Hz, about
	sliceRate = 12000.0 // Hz, at least, after the first filter
	edgeHz    = 15.0    // over which the candidate goes over into noise
)

// cutter makes cuts.
type cutter struct {
	ring  *ring
	rate  float64
	plans map[int]*plan
	mixed []complex128
	taps  []float64
	spec  []complex128
	half  []complex128
	real  []float64
	audio []float32
}

// plan has the transforms for a length.
type plan struct {
	length, out int
	forward     *fourier.CmplxFFT
	back        *fourier.FFT
}

func newCutter(r *ring, rate float64) *cutter {
	return &cutter{ring: r, rate: rate, plans: map[int]*plan{}}
}

// mix moves hz to 0 in the samples from index from on, and decimates by d with three running means: aliases within a
// kilohertz of 0 are 60 dB down. It returns n values.
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
	d := max(1, int(c.rate/sliceRate))
	p := c.plan(int(to-from)/d - 2)
	z := c.mix(hz, from, p.length, d)
	p.forward.Coefficients(c.spec[:p.length], z)
	inRate := c.rate / float64(d)
	rate = inRate * float64(p.out) / float64(p.length)
	binHz := inRate / float64(p.length)
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
			i := k - shift
			if i < 0 {
				i += p.length
			}
			v += c.spec[i] * complex(share*scale, 0)
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

// plan has transforms of a length up to n, of which there are few.
func (c *cutter) plan(n int) *plan {
	length, out := c.lengths(n)
	if p := c.plans[length]; p != nil {
		return p
	}
	p := &plan{length, out, fourier.NewCmplxFFT(length), fourier.NewFFT(out)}
	c.plans[length] = p
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
func (c *cutter) lengths(n int) (length, out int) {
	in := c.rate / float64(max(1, int(c.rate/sliceRate)))
	if in == math.Round(in) {
		const leastParts = 20 // a second
		if g := gcd(int(in), cutRate); g >= leastParts && isSmooth(int(in)/g) {
			k := smooth(n / (int(in) / g))
			return k * int(in) / g, k * cutRate / g
		}
	}
	length = smooth(n)
	for out = int(float64(length) * cutRate / in); !isSmooth(out); out++ {
	}
	return length, out
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

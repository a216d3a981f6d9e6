package samples

import (
	"math"
	"math/rand/v2"
)

// gain is the complex gain of a fading path: Gaussian with the mean power asked for and a Gaussian Doppler
// spectrum (ITU-R F.1487, annex 1), so that its magnitude is Rayleigh distributed.
//
// White noise is filtered at a low rate to a power spectrum exp(-f²/2σ²), where σ is half the Doppler spread, and
// read between by cubic interpolation. The filter's amplitude response exp(-f²/4σ²) is the Fourier transform of
// exp(-4π²σ²t²).
type gain struct {
	rng   *rand.Rand
	taps  []float64
	ratio float64 // values of the low rate to a sample
	noise []complex128
	at    int64         // index of the newest of points
	point [4]complex128 // low-rate values at-3 to at; the place read lies between the middle two
	cubic [4]complex128 // polynomial between them
	// The phase turns by shift cycles a sample.
	shift float64
	fixed bool
}

const (
	// With 64 values to a standard deviation σ of the Doppler spectrum (in Hz), cubic interpolation is exact to
	// about -80 dB; the tests measure spread and power.
	gainOversampling = 64.0
	// The filter is cut at 1e-4 of its peak: 4π²σ²t² = 9.21, t = 0.483/σ.
	gainReach = 31 // 0.483·64
)

// newGain makes a gain of a mean power; spread and shift in Hz. Without spread it is steady.
func newGain(rate, spreadHz, shiftHz, power float64, rng *rand.Rand) *gain {
	g := &gain{rng: rng, shift: shiftHz / rate, fixed: spreadHz == 0}
	if g.fixed {
		s, c := math.Sincos(2 * math.Pi * rng.Float64())
		g.point[1] = complex(c, s) * complex(math.Sqrt(power), 0)
		return g
	}
	g.ratio = gainOversampling * spreadHz / 2 / rate
	energy := 0.0
	for i := -gainReach; i <= gainReach; i++ {
		t := float64(i) / gainOversampling // in units of 1/σ
		v := math.Exp(-4 * math.Pi * math.Pi * t * t)
		g.taps = append(g.taps, v)
		energy += v * v
	}
	for i := range g.taps { // two real parts of unit variance
		g.taps[i] *= math.Sqrt(power / 2 / energy)
	}
	g.noise = make([]complex128, len(g.taps))
	for i := range g.noise {
		g.noise[i] = g.draw()
	}
	g.at = -2
	for range 4 {
		g.advance()
	}
	return g
}

func (g *gain) draw() complex128 { return complex(g.rng.NormFloat64(), g.rng.NormFloat64()) }

// advance makes the next value of the low rate, and the polynomial of Catmull and Rom (1974) between the middle two
// values: it goes through both with the slope of their neighbours.
func (g *gain) advance() {
	copy(g.noise, g.noise[1:])
	g.noise[len(g.noise)-1] = g.draw()
	var sum complex128
	for i, c := range g.taps {
		sum += complex(c*real(g.noise[i]), c*imag(g.noise[i]))
	}
	p := &g.point
	p[0], p[1], p[2], p[3] = p[1], p[2], p[3], sum
	g.cubic = [4]complex128{p[1], (p[2] - p[0]) / 2, p[0] - 2.5*p[1] + 2*p[2] - p[3]/2, (p[3]-p[0])/2 + 1.5*(p[1]-p[2])}
	g.at++
}

// value is the gain at sample n; n must not fall from call to call.
func (g *gain) value(n int64) complex128 {
	v := g.point[1]
	if !g.fixed {
		at := float64(n) * g.ratio
		for at >= float64(g.at) {
			g.advance()
		}
		x := at - float64(g.at-1)
		c := &g.cubic
		re := real(c[0]) + x*(real(c[1])+x*(real(c[2])+x*real(c[3])))
		im := imag(c[0]) + x*(imag(c[1])+x*(imag(c[2])+x*imag(c[3])))
		v = complex(re, im)
	}
	if g.shift != 0 {
		cycles := float64(n) * g.shift
		s, c := math.Sincos(2 * math.Pi * (cycles - math.Floor(cycles)))
		v *= complex(c, s)
	}
	return v
}

package cw

import "math"

const (
	ring      = 1024           // steps that are kept: 128 dots
	none      = float32(-1e30) // the logarithm of an impossible event
	gridSteps = 8              // steps in a dot of a signal whose speed is known; an edge is then wrong by 2 % of a dot (1/8/√12)
)

// grid is a signal in steps of a time that suits its speed: the sums, powers and noise of the last ones, in rings.
type grid struct {
	src    *series
	origin float64 // of step 0, in base samples
	step   float64 // base samples
	noise  float64 // variance of a base sample
	excess float32 // noise that the edges of a signal bring, over its power
	cell   int64   // steps over which the power is measured: a dot, or a time like one
	ahead  int64   // steps beyond the present one that must be known
	filled int64   // steps that are known

	sum   [ring]complex64 // Σ base samples from base to the step
	base  complex128
	power [ring]float32 // mean power of the cell that ends here, less the noise
	floor [ring]float32 // variance of a base sample by the noise and what a strong signal nearby adds
}

func (g *grid) start(src *series, origin, step, noise float64) {
	g.src, g.origin, g.step, g.noise = src, origin, step, noise
	g.base, g.filled, g.ahead = src.at(origin), 0, 2*g.cell
	for i := range g.sum {
		g.sum[i], g.power[i], g.floor[i] = 0, 0, float32(noise)
	}
}

// ready says whether the signal for step n is there.
func (g *grid) ready(n int64) bool {
	return g.origin+float64(n+g.ahead)*g.step <= float64(g.src.end)
}

// fill reads the signal for step n and what lies ahead of it.
func (g *grid) fill(n int64) {
	l := float32(g.cell) * float32(g.step)
	for ; g.filled <= n+g.ahead; g.filled++ {
		s := g.src.at(g.origin+float64(g.filled)*g.step) - g.base
		i := g.filled & (ring - 1)
		if i == 0 && g.filled > 0 { // single precision wants small sums
			for k := range g.sum {
				g.sum[k] -= complex64(s)
			}
			g.base += s
			s = 0
		}
		g.sum[i] = complex64(s)
		a := abs(complex64(s) - g.sum[(g.filled-g.cell)&(ring-1)])
		g.power[i] = max(0, a*a/(l*l)-float32(g.noise)/l)
	}
	strongest := float32(0)
	for i := n - g.cell/2; i <= n+g.ahead; i++ {
		strongest = max(strongest, g.power[i&(ring-1)])
	}
	g.floor[n&(ring-1)] = float32(g.noise) + strongest*g.excess
}

// between is the sum of the base samples between two steps.
func (g *grid) between(from, to int64) complex64 { return g.sum[to&(ring-1)] - g.sum[from&(ring-1)] }

// mean is that of the base samples of the step that ends at n.
func (g *grid) mean(n int64) complex64 {
	z, l := g.between(n-1, n), float32(g.step)
	return complex(real(z)/l, imag(z)/l)
}

// powerBetween is the power of the mean of the base samples between two steps, less the noise.
func (g *grid) powerBetween(from, to int64) float64 {
	l := float64(to-from) * g.step
	s := float64(abs(g.between(from, to)))
	return max(0, s*s/(l*l)-g.noise/l)
}

func abs(z complex64) float32 { return sqrt(real(z)*real(z) + imag(z)*imag(z)) }

func sqrt(x float32) float32 { return float32(math.Sqrt(float64(x))) }

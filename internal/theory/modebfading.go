package theory

import (
	"math"
	"math/rand/v2"

	"ionoscribe/rtty/modeb"
)

// ModeBFading simulates as [ModeB] does, on a channel of two paths of equal strength that fade independently with a Gaussian Doppler
// spectrum (ITU-R F.1487): delaySeconds apart, spreadHz wide (twice the standard deviation), tones shiftHz apart. ratio is the mean
// energy of an element over N0, of both paths together. The receiver knows how strong either tone is in each element; a tone
// keeps its phase within an element. Of crashShare of the time, in crashes of three elements, nothing is heard, and that is known.
func ModeBFading(rng *rand.Rand, ratio, delaySeconds, spreadHz, shiftHz, crashShare float64, n int) (wrong, doubtful float64) {
	const waves = 24
	type wave struct{ hz, phase float64 }
	var paths [2][waves]wave
	turn := 2 * math.Pi * shiftHz * delaySeconds
	between := rng.Float64() * 2 * math.Pi
	level := func(t float64) (e [2]float64) {
		var g [2]complex128
		for p := range paths {
			for _, w := range paths[p] {
				s, c := math.Sincos(2*math.Pi*w.hz*t + w.phase)
				g[p] += complex(c, s)
			}
		}
		for k := range e {
			s, c := math.Sincos(between + float64(k)*turn)
			z := g[0] + g[1]*complex(c, s)
			e[k] = (real(z)*real(z) + imag(z)*imag(z)) / (2 * waves) * ratio
		}
		return e
	}
	const element = 1 / modeb.Baud
	crashUntil := -1.0
	heard := func(t float64) bool { // asked with rising time of a sending, apart for each
		if t < crashUntil {
			return false
		}
		if rng.Float64() < crashShare/3 {
			crashUntil = t + 2.5*element
			return false
		}
		return true
	}
	for range n {
		for p := range paths { // each character at a time of its own
			for i := range paths[p] {
				paths[p][i] = wave{rng.NormFloat64() * spreadHz / 2, rng.Float64() * 2 * math.Pi}
			}
		}
		between = rng.Float64() * 2 * math.Pi
		sent := modeBPatterns[rng.IntN(len(modeBPatterns))]
		var b [modeb.Units]float64
		for copy := range 2 {
			crashUntil = -1
			for i := range b {
				t := float64(i+copy*5*modeb.Units) * element
				if !heard(t) {
					continue
				}
				e := level(t)
				is := 0
				if sent>>i&1 == 1 {
					is = 1
				}
				var ln [2]float64
				for k := range ln {
					a := 0.0
					if k == is {
						a = math.Sqrt(e[k])
					}
					r := math.Hypot(a+rng.NormFloat64()/math.Sqrt2, rng.NormFloat64()/math.Sqrt2)
					ln[k] = logI0(2*math.Sqrt(e[k])*r) - e[k]
				}
				b[i] += ln[1] - ln[0]
			}
		}
		best, p := modeBDecide(&b)
		if best != sent {
			wrong++
		}
		if best != sent || p < DoubtfulBelow {
			doubtful++
		}
	}
	return wrong / float64(n), doubtful / float64(n)
}

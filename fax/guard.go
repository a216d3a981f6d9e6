package fax

import (
	"math"

	"ionoscribe/demod"
)

// guard watches for a strong neighbour outside a picture's band while the decoder listens, and keeps it from the search
// for tones and lines. While there is none it changes nothing.
type guard struct {
	power  [2][guardBins]float64 // above and below, from guardFrom outward
	total  float64               // power of the frames, in the same measure
	hops   int
	on     bool
	filter []float64
	past   []complex64 // the last samples, as long as the filter less one
	z      []complex64
}

const (
	// guardFrame is the length of a spectrum, with lines 56 Hz apart, taken every guardEvery hops: 0.3 s.
	guardFrame, guardEvery = 64, 7
	guardSpacing           = VideoRate / guardFrame
	guardFrom, guardBins   = 14, 12 // lines from 790 Hz to 1460 Hz from the middle
	// guardFrames is the time constant of their mean, 8 s; before guardLeast of them, noise may stand out of noise.
	guardFrames, guardLeast = 30, 8
	// guardShare is the share of the power that turns the guard on. A neighbour that is 6 dB weaker than the fax spoils
	// neither its tones nor its lines.
	guardShare = 0.2
	// guardStandsOut is by how much, in power, a line must exceed the least one on its side: the mean of guardFrames spectra
	// has a standard deviation of 0.13 (a frame every guardEvery hops is independent of the others).
	guardStandsOut = 4.0
	// The filter passes a picture with an error of tuning, and tones.
	guardPassHz, guardStopHz, guardStopDB = 765, 1035, 40
)

// guardWaves are the lines, weighed by the window.
var guardWaves = func() (w [2][guardBins][guardFrame]complex64) {
	for side, sign := range []float64{1, -1} {
		for k := range guardBins {
			for n := range guardFrame {
				window := demod.Hann(n, guardFrame)
				w[side][k][n] = demod.Cis(-sign*2*math.Pi*float64((guardFrom+k)*n)/guardFrame) * complex(float32(window), 0)
			}
		}
	}
	return w
}()

func newGuard() *guard {
	g := &guard{filter: demod.Lowpass(VideoRate, guardPassHz, guardStopHz, guardStopDB)}
	g.past = make([]complex64, len(g.filter)-1)
	return g
}

// pass is a hop of video as it is to be searched; it is valid until the next call.
func (g *guard) pass(z []complex64) []complex64 {
	if g.hops%guardEvery == 0 && len(z) >= guardFrame {
		g.watch(z[:guardFrame])
	}
	g.hops++
	out := z
	if g.on {
		g.z = append(append(g.z[:0], g.past...), z...)
		for i := range z {
			var re, im float32
			for k, h := range g.filter {
				re += float32(h) * real(g.z[i+k])
				im += float32(h) * imag(g.z[i+k])
			}
			g.z[i] = complex(re, im)
		}
		out = g.z[:len(z)]
	}
	if n := len(g.past); len(z) >= n {
		copy(g.past, z[len(z)-n:])
	} else {
		copy(g.past[copy(g.past, g.past[len(z):]):], z)
	}
	return out
}

// watch takes a frame and decides.
func (g *guard) watch(z []complex64) {
	const share = 1.0 / guardFrames
	var sum float64
	for _, c := range z {
		sum += float64(demod.Power(c))
	}
	// The lines' powers add up to that of the windowed frame, whose mean square is 3/8, times its length.
	g.total += share * (sum*guardFrame*3/8 - g.total)
	var excess float64
	for side := range g.power {
		least := math.Inf(1)
		for k := range g.power[side] {
			var y complex64
			for n, w := range &guardWaves[side][k] {
				y += w * z[n]
			}
			p := &g.power[side][k]
			*p += share * (float64(demod.Power(y)) - *p)
			if least = min(least, *p); *p > guardStandsOut*least {
				excess += *p - least
			}
		}
	}
	// Outside, a picture's spectrum only falls.
	g.on = g.hops >= guardLeast*guardEvery && excess > guardShare*g.total
}

package dsc

import (
	"math"
	"slices"

	"ionoscribe/demod/fsk"
)

const (
	// spectrumBlocks are 1.3 s, which mean some thirty independent spectra: a line is known to a fifth of its power.
	spectrumBlocks = 12
	lookBlocks     = 12 // from look to look
	// A call at -8 dB has about 9 times the noise of a line in each tone. The stronger tone must have leastStrong, which noise of
	// 0.35 never has by chance; the weaker may have faded.
	leastStrong, leastWeak = 3.0, 1.0
	sameHz                 = 60.0 // centres that are nearer are of one pair
	tuneRangeHz            = 30.0 // around an ordered centre
)

// pair is two tones that may be of a call.
type pair struct {
	centreHz float64
	tone     [2]float64 // power of the higher and the lower one in three lines, above the noise
	noise    float64    // of a line
}

// finder lists pairs of tones by the spectrum.
type finder struct {
	low, high float64 // Hz, of centres
	spectrum  *fsk.Spectrum
	all       []pair
}

func newFinder(c Config) *finder {
	f := &finder{low: LeastCentreHz, high: MostCentreHz, spectrum: fsk.NewSpectrum(), all: make([]pair, 0, 400)}
	if c.CentreHz != 0 {
		f.low, f.high = c.CentreHz-tuneRangeHz, c.CentreHz+tuneRangeHz
	}
	return f
}

// find lists the pairs of the latest blocks, those first whose weaker tone is strongest: a carrier has none beside it.
func (f *finder) find(front *fsk.Front) []pair {
	ready := front.Ready()
	f.spectrum.Measure(front, max(front.First(), ready-spectrumBlocks), ready)
	const half, step = UsualShiftHz / 2, fsk.LineHz / 2
	f.all = f.all[:0]
	for hz := f.low; hz <= f.high; hz += step {
		p := pair{centreHz: hz, tone: [2]float64{f.spectrum.Tone(hz + half), f.spectrum.Tone(hz - half)}}
		if strong(&p, f.spectrum.Floor(hz)) {
			f.all = append(f.all, p)
		}
	}
	slices.SortFunc(f.all, func(a, b pair) int {
		switch x, y := a.rank(), b.rank(); {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return int(a.centreHz - b.centreHz)
	})
	kept := f.all[:0]
	for _, p := range f.all {
		if len(kept) == mostEars {
			break
		}
		near := slices.ContainsFunc(kept, func(k pair) bool { return math.Abs(k.centreHz-p.centreHz) < sameHz })
		if near {
			continue
		}
		p.noise = f.spectrum.Beside(p.centreHz-2*half-Baud, p.centreHz+2*half+Baud)
		if strong(&p, p.noise) {
			kept = append(kept, p)
		}
	}
	return kept
}

// strong says that both tones are above the noise of a line.
func strong(p *pair, noise float64) bool {
	return max(p.tone[0], p.tone[1]) > leastStrong*noise+1e-30 && min(p.tone[0], p.tone[1]) > leastWeak*noise
}

// rank is greater for what is likelier a pair.
func (p *pair) rank() float64 {
	return min(p.tone[0], p.tone[1]) + max(p.tone[0], p.tone[1], 0)/8
}

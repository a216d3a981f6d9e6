package cw

import (
	"cmp"
	"math"
	"slices"
)

// peak is a line of the spectrum that stands out.
type peak struct {
	hz    float64 // from the middle of the band
	ratio float64 // power over the noise
}

const (
	// leastPeak is the power over the noise of a signal, noise included. That of noise alone is the mean of 73 independent
	// powers (noiseFrames/noiseOverlap) and so has a standard deviation of 0.12: this is 8 of them above it.
	leastPeak = 2.0
	peakReach = 2 // lines on either side that a peak exceeds: the main lobe of a Hann window

	sameHz = 20.0 // two and a half lines, within which nothing is told apart

	// The sidebands of keying are no signals. Those of dots of 1/20 s lie 14 dB down at 25 Hz and 21 dB at 60 Hz; with these
	// limits they have 5 and 9 dB more (own choice).
	sidebandReach   = 250.0 // Hz
	sidebandDB      = 6.0   // below the signal,
	sidebandHzOfADB = 10    // and 1 dB more for each so many Hz

	smallestPower = 1e-30 // keeps logarithms finite
)

// find measures the noise and lists the peaks from lowest to highest, in Hz from the middle, the strongest first.
func (s *spectrum) find(lowest, highest float64) []peak {
	s.findNoise()
	s.peaks = s.peaks[:0]
	from, to := int((lowest+bandRate/2)/binHz), int((highest+bandRate/2)/binHz)
	for i := max(from, peakReach+1); i <= min(to, bins-peakReach-2); i++ {
		p := s.power[i]
		if p < leastPeak*s.noise[i] || p <= 0 || p < slices.Max(s.power[i-peakReach:i+peakReach+1]) {
			continue
		}
		s.peaks = append(s.peaks, peak{(float64(i)+s.vertex(i))*binHz - bandRate/2, p / s.noise[i]})
	}
	slices.SortFunc(s.peaks, func(a, b peak) int { return cmp.Compare(b.ratio, a.ratio) })
	kept := s.peaks[:0]
	for _, p := range s.peaks {
		if !slices.ContainsFunc(kept, func(stronger peak) bool { return p.belongsTo(stronger) }) {
			kept = append(kept, p)
		}
	}
	s.peaks = kept
	return kept
}

// belongsTo says whether a peak is a sideband of a stronger one, or the same signal.
func (p peak) belongsTo(stronger peak) bool {
	apart := math.Abs(p.hz - stronger.hz)
	limit := stronger.ratio * math.Pow(10, -(sidebandDB+apart/sidebandHzOfADB)/10)
	return apart < sameHz || apart < sidebandReach && p.ratio < limit
}

// vertex is where the parabola through the logarithms of a line and its neighbours has its top, in lines from it.
func (s *spectrum) vertex(i int) float64 {
	a, b := math.Log(s.power[i-1]+smallestPower), math.Log(s.power[i+1]+smallestPower)
	if d := a - 2*math.Log(s.power[i]) + b; d < 0 {
		return (a - b) / (2 * d)
	}
	return 0
}

package narrow

import (
	"cmp"
	"math"
	"slices"

	"ionoscribe/demod"
)

// Peak is where the spectrum stands out.
type Peak struct {
	Hz    float64 // from the middle of the band
	Ratio float64 // power over the noise
	Power float64 // as [Spectrum.Power]
}

const (
	peakReach     = 2     // lines on either side that a peak exceeds: the main lobe of a Hann window
	smallestPower = 1e-30 // keeps logarithms finite
)

// Peaks measures the noise and lists what stands out of it by a ratio, from lowest to highest, in Hz from the middle, the strongest
// first. The power is that of a line and of so many to either side, as wide as the signals are.
func (s *Spectrum) Peaks(beside int, leastRatio, lowest, highest float64) []Peak {
	s.findNoise()
	s.peaks = s.peaks[:0]
	from, to := int((lowest+Rate/2)/LineHz), int((highest+Rate/2)/LineHz)
	edge := peakReach + beside + 1
	for i := max(from, edge); i <= min(to, lines-edge-1); i++ {
		p, noise := sum(s.power[i-beside:i+beside+1]), sum(s.noise[i-beside:i+beside+1])
		if p < leastRatio*noise || p <= 0 {
			continue
		}
		highest := true
		for k := i - peakReach; k <= i+peakReach; k++ {
			highest = highest && p >= sum(s.power[k-beside:k+beside+1])
		}
		if highest {
			a, b := sum(s.power[i-1-beside:i+beside]), sum(s.power[i+1-beside:i+2+beside])
			s.peaks = append(s.peaks, Peak{(float64(i)+vertex(a, p, b))*LineHz - Rate/2, p / noise, p})
		}
	}
	slices.SortFunc(s.peaks, func(a, b Peak) int { return cmp.Compare(b.Ratio, a.Ratio) })
	return s.peaks
}

func sum(x []float64) (sum float64) {
	for _, v := range x {
		sum += v
	}
	return sum
}

// vertex is where a line is between three powers, in lines from the middle one.
func vertex(before, p, after float64) float64 {
	return demod.Vertex(math.Log(before+smallestPower), math.Log(p), math.Log(after+smallestPower))
}

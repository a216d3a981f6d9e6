package cw

import (
	"math"
	"slices"

	"ionoscribe/demod/narrow"
)

const (
	// leastPeak is the power over the noise of a signal, noise included. That of noise alone is the mean of 73 independent
	// powers (the spectrum's memory) and so has a standard deviation of 0.12: this is 8 of them above it.
	leastPeak = 2.0

	sameHz = 20.0 // two and a half lines, within which nothing is told apart

	// The sidebands of keying are no signals. Those of dots of 1/20 s lie 14 dB down at 25 Hz and 21 dB at 60 Hz; with these
	// limits they have 5 and 9 dB more (own choice).
	sidebandReach   = 250.0 // Hz
	sidebandDB      = 6.0   // below the signal,
	sidebandHzOfADB = 10    // and 1 dB more for each so many Hz
)

// spectrum is that of the band, and the tones in it.
type spectrum struct {
	*narrow.Spectrum
	peaks []narrow.Peak // of the last look
}

// find lists the peaks of tones from lowest to highest, in Hz from the middle, the strongest first.
func (s *spectrum) find(lowest, highest float64) []narrow.Peak {
	all := s.Peaks(0, leastPeak, lowest, highest)
	s.peaks = all[:0]
	for _, p := range all {
		if !slices.ContainsFunc(s.peaks, func(stronger narrow.Peak) bool { return belongs(p, stronger) }) {
			s.peaks = append(s.peaks, p)
		}
	}
	return s.peaks
}

// belongs says whether a peak is a sideband of a stronger one, or the same signal.
func belongs(p, stronger narrow.Peak) bool {
	apart := math.Abs(p.Hz - stronger.Hz)
	limit := stronger.Ratio * math.Pow(10, -(sidebandDB+apart/sidebandHzOfADB)/10)
	return apart < sameHz || apart < sidebandReach && p.Ratio < limit
}

package draw

import (
	"math"
	"math/cmplx"
)

// Which sideband the receiver is on, and so whether white is the higher frequency, is decided by what a broadcast
// fixes: the form of phasing, the white dead sector and the black after the stop tone. How bright a picture is says
// nothing. Each is a log-likelihood ratio in nats, positive where white is the higher frequency, and they add up.

// Shares from which the ratios follow. Own estimates: they say which evidence outweighs which, and any values that
// keep this order decide alike. Black after the stop tone has no other meaning; a dead sector may be the edge of
// a bright or dark picture, and pulses of either colour are sent.
const (
	mirroredShare   = 0.05  // of receivers are on the wrong sideband
	blackPulseShare = 0.05  // of pulses are black (common practice of some services; ISO 9876:2015 3.8 has white)
	deadSectorShare = 0.9   // of pictures have a white dead sector
	blackAfterShare = 0.998 // of stop tones are followed by black (WMO-No. 386 part III-5, from memory)
	// levelSpread is the standard deviation of a level in units of the deviation: noise and tuning leave 10 %.
	levelSpread = 0.15
	// A receiver is put on another sideband between two charts once in ten times.
	sidebandStays = 0.9
)

// usualSideband is the ratio before anything was received.
var usualSideband = math.Log((1 - mirroredShare) / mirroredShare)

// pulseRatio is that of a pulse; high says that it is the higher frequency.
func pulseRatio(high bool) float64 {
	r := math.Log((1 - blackPulseShare) / blackPulseShare)
	if high {
		return r
	}
	return -r
}

// deadSectorLikelihood is that of a level at the line start, in units of the deviation, if white is at the given
// one: 1 or -1. Without a dead sector any level is as likely.
func deadSectorLikelihood(level, white float64) float64 {
	d := (max(-1, min(1, level)) - white) / levelSpread
	// Twice the normal density: what lies beyond the level counts as on it.
	within := 2 * math.Exp(-d*d/2) / (levelSpread * math.Sqrt(2*math.Pi))
	return deadSectorShare*within + (1-deadSectorShare)/2
}

// deadSectorRatio is that of the levels where the line starts if white is the higher, and if it is the lower
// frequency: two places if phasing was half and half.
func deadSectorRatio(ifHigher, ifLower float64) float64 {
	return math.Log(deadSectorLikelihood(ifHigher, 1) / deadSectorLikelihood(ifLower, -1))
}

// afterStop is what was heard after a stop tone: its frequency in Hz from CentreHz, and how steady it was, from 0
// (noise) to 1.
type afterStop struct{ hz, steady float64 }

// leastSteady is exceeded by a constant tone from -2 dB SNR in 2500 Hz on (0.42 at 0 dB); noise, with 0.2, comes out
// at 900 Hz, far from any level.
const leastSteady = 0.3

// hearAfterStop measures the video between from and to.
func hearAfterStop(v *Video, from, to int64) afterStop {
	if to-from < videoBlock {
		return afterStop{}
	}
	z := make([]complex64, to-from)
	v.Read(z, from)
	var sum complex128
	power := 1e-30
	for i := 2; i < len(z); i++ {
		p := complex128(z[i-2])
		sum += complex128(z[i]) * cmplx.Conj(p)
		power += real(p)*real(p) + imag(p)*imag(p)
	}
	return afterStop{cmplx.Phase(sum) * VideoRate / (4 * math.Pi), cmplx.Abs(sum) / power}
}

// ratio is that of what was heard, if it was black or white at all.
func (a afterStop) ratio(offset, deviation float64) float64 {
	level := (a.hz - offset) / deviation
	if a.steady < leastSteady || math.Abs(math.Abs(level)-1) > 3*levelSpread {
		return 0
	}
	return -math.Copysign(math.Log(blackAfterShare/(1-blackAfterShare)), level)
}

// nextSideband is the ratio for the next chart of the same stream, after one whose evidence came to ratio.
func nextSideband(ratio float64) float64 {
	p := 1 / (1 + math.Exp(-ratio))
	p = sidebandStays*p + (1-sidebandStays)*(1-mirroredShare)
	return math.Log(p / (1 - p))
}

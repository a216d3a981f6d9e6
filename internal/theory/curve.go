package theory

import (
	"math"

	"ionoscribe/samples"
)

// Curve is an error rate against SNR, as a plot wants it.
type Curve struct {
	Name string
	At   func(snrdB float64) float64 // character error rate; SNR in dB in 2500 Hz
}

// EnergyRatio is the energy of a signal of the given length in seconds over N0, where the signal's power is snrdB
// over that of the noise in 2500 Hz: Eb/N0 of a teleprinter's element, Ed/N0 of a Morse dot.
func EnergyRatio(snrdB, seconds float64) float64 {
	return math.Pow(10, snrdB/10) * samples.NoiseBandwidthHz * seconds
}

// SNRdB turns an energy ratio back into dB in 2500 Hz; see [EnergyRatio].
func SNRdB(ratio, seconds float64) float64 {
	return 10 * math.Log10(ratio/(samples.NoiseBandwidthHz*seconds))
}

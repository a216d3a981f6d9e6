package theory

import "math"

// PSK is keying of two phases, by changes of phase, in white noise.
type PSK struct {
	Coherent bool // the phase is known, and changes are told from two decisions; otherwise neighbouring symbols are compared
}

// SymbolToNoise is Eb/N0 of a signal of so many baud, one bit a symbol, at an SNR in dB in 2500 Hz: 19.03 dB more at 31.25 Bd.
func SymbolToNoise(snr, baud float64) float64 { return math.Pow(10, snr/10) * 2500 / baud }

// Bit is the probability that a bit is wrong: ½ exp(-Eb/N0) if symbols are compared. If the phase is known, a symbol is wrong with
// q = Q(√(2Eb/N0)), and a change of phase with 2q(1-q). Proakis, Digital Communications (from memory).
func (p PSK) Bit(ebN0 float64) float64 {
	if !p.Coherent {
		return math.Exp(-ebN0) / 2
	}
	q := math.Erfc(math.Sqrt(ebN0)) / 2
	return 2 * q * (1 - q)
}

package theory

import (
	_ "embed"
	"math"
	"math/rand/v2"

	"ionoscribe/rtty/dsc"
)

// dscTable holds simulated error rates of symbols against the energy of an element of one sending over N0, in dB. TestDSCTable makes
// it.
//
//go:embed dsc.csv
var dscTable string

// DSCSymbol simulates the reception of n random symbols of selective calling, each sent twice, by matched filters of both tones whose
// phases are not known, and tells the share of which another symbol is likelier. ratio is the energy of an element over N0.
func DSCSymbol(rng *rand.Rand, ratio float64, n int) float64 {
	a := math.Sqrt(ratio)
	envelope := func(a float64) float64 {
		return math.Hypot(a+rng.NormFloat64()/math.Sqrt2, rng.NormFloat64()/math.Sqrt2)
	}
	wrong := 0
	for range n {
		sent := dsc.Symbol(rng.IntN(128))
		var y [dsc.Units]float64 // log-likelihood ratio of Y
		for i := range y {
			for range 2 {
				y[i] += logI0(2*a*envelope(a)) - logI0(2*a*envelope(0))
			}
			if sent.Code()>>i&1 == 0 {
				y[i] = -y[i]
			}
		}
		likely := func(s dsc.Symbol) (sum float64) {
			for i, v := range y {
				if s.Code()>>i&1 == 1 {
					sum += v
				}
			}
			return sum
		}
		best := likely(sent)
		for s := range dsc.Symbol(128) {
			if s != sent && likely(s) > best {
				wrong++
				break
			}
		}
	}
	return float64(wrong) / float64(n)
}

// usualSymbols of a call are decided on: some 18 and the check symbol.
const usualSymbols = 19

// DSCCurves is the share of calls of 19 symbols of which at least one is wrong, if each is decided on by itself; beyond the last
// simulation it falls as that of mode B does. A receiver that heeds the check symbol may be better.
func DSCCurves() []Curve {
	symbol := simulated("", dscTable, 1, 1/100.0)
	return []Curve{{Name: "theory, calls of 19 symbols", At: func(snrdB float64) float64 {
		return 1 - math.Pow(1-symbol.At(snrdB), usualSymbols)
	}}}
}

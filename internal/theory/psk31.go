package theory

import (
	"math"
	"math/cmplx"
	"math/rand/v2"

	"ionoscribe/internal/nearest"
	"ionoscribe/psk"
	"ionoscribe/samples"
)

// pskText is what is sent on paper: small letters mostly, whose codes are short.
const pskText = "The wind from southwest is 8 and will veer to west before midnight; ships near Cape Ostrel are asked to keep a good lookout. "

// PSK31 simulates text in BPSK with the code of characters, n times a message of some 250 of them, and gives its character error rate.
// ratio is the mean energy of a symbol over N0. The receiver knows phase and strength of each symbol, which has q = Q(√(2Es/N0)) of being
// wrong, and makes bits of changes and characters of bits. With a spread of the spectrum in Hz (ITU-R F.1487: twice its standard
// deviation) the strength has a Rayleigh distribution, which two paths of equal strength have together; their delays are short to a symbol.
func PSK31(rng *rand.Rand, ratio, spreadHz float64, n int) float64 {
	text := []rune(pskText + pskText)
	bits := psk.Encode([]byte(pskText + pskText))
	const waves = 24
	var hz, phase [waves]float64
	wrong := 0
	for range n {
		for i := range hz {
			hz[i], phase[i] = rng.NormFloat64()*spreadHz/2, rng.Float64()
		}
		var u psk.Unpacker
		var got []rune
		take := func(bit bool) {
			if r, ok := u.Next(bit); ok {
				got = append(got, rune(r))
			}
		}
		take(false)
		take(false)
		before := false // the symbol before was wrong
		for k, bit := range bits {
			strength := 1.0
			if spreadHz > 0 {
				var sum complex128
				for i := range hz {
					sum += cmplx.Rect(1/math.Sqrt(waves), 2*math.Pi*(hz[i]*float64(k)/psk.Baud+phase[i]))
				}
				strength = real(sum)*real(sum) + imag(sum)*imag(sum)
			}
			now := rng.Float64() < tail(math.Sqrt(2*ratio*strength))
			take(bit != (now != before))
			before = now
		}
		wrong += min(nearest.Distance(text, got), len(text))
	}
	return float64(wrong) / float64(n*len(text))
}

// PSK31Four simulates the same in QPSK in white noise, by the most likely sequence of its convolutional code (soft Viterbi) where the
// likelihood of a turn is told from neighbouring symbols alone, whose phase is not known.
func PSK31Four(rng *rand.Rand, ratio float64, n int) float64 {
	text := []rune(pskText + pskText)
	bits := psk.Encode([]byte(pskText + pskText))
	quarters := [4]complex128{1, 1i, -1, -1i}
	noisy := func(y complex128) complex128 {
		return y*complex(math.Sqrt(ratio), 0) + complex(rng.NormFloat64(), rng.NormFloat64())/math.Sqrt2
	}
	wrong := 0
	for range n {
		sent := complex(1, 0)
		before := noisy(sent)
		var likely [][4]float64
		for _, turn := range psk.QPSK(bits) {
			sent *= quarters[turn]
			y := noisy(sent)
			var l [4]float64
			for q := range l {
				l[q] = real(y * cmplx.Conj(before*quarters[q]))
			}
			likely, before = append(likely, l), y
		}
		u := new(psk.Unpacker)
		u.Next(false)
		u.Next(false)
		var got []rune
		for _, bit := range psk.Viterbi(likely) {
			if r, ok := u.Next(bit); ok {
				got = append(got, rune(r))
			}
		}
		wrong += min(nearest.Distance(text, got), len(text))
	}
	return float64(wrong) / float64(n*len(text))
}

// PSK31FourCurves are what a receiver of four phases reaches that knows the timing, in white noise.
func PSK31FourCurves() []Curve {
	return []Curve{{Name: "theory, differential, soft Viterbi", At: func(snr float64) float64 {
		return PSK31Four(rand.New(rand.NewPCG(31, 25)), SymbolToNoise(snr, psk.Baud), 80) // 20 000 characters
	}}}
}

// PSK31Curves are what a receiver reaches that knows phase, strength and timing, on a channel; nil: in white noise.
func PSK31Curves(channel *samples.Channel) []Curve {
	name, spread := "theory", 0.0
	if channel != nil {
		name, spread = "theory, flat fading", channel.SpreadHz
	}
	return []Curve{{Name: name, At: func(snr float64) float64 {
		rng := rand.New(rand.NewPCG(31, 25))
		return PSK31(rng, SymbolToNoise(snr, psk.Baud), spread, 80) // 20 000 characters
	}}}
}

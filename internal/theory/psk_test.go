package theory

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The formulas against symbols in noise: 200 000 of them, so that the standard deviation at 1 % is 2 % of it.
func TestPSKBit(t *testing.T) {
	const symbols, ebN0 = 200_000, 3.5
	r := rand.New(rand.NewPCG(1, 2))
	sigma := math.Sqrt(1 / (2 * ebN0)) // of each component, with symbols ±1 and Eb = 1
	var compared, decided int
	sent, before, beforeSent := 1.0, complex(1, 0), 1.0
	for range symbols {
		if r.IntN(2) == 0 {
			sent = -sent
		}
		z := complex(sent+sigma*r.NormFloat64(), sigma*r.NormFloat64())
		turned := sent != beforeSent
		if (real(z)*real(before)+imag(z)*imag(before) < 0) != turned {
			compared++
		}
		if (real(z)*real(before) < 0) != turned {
			decided++
		}
		before, beforeSent = z, sent
	}
	for _, c := range []struct {
		errors   int
		coherent bool
	}{{compared, false}, {decided, true}} {
		got, want := float64(c.errors)/symbols, PSK{c.coherent}.Bit(ebN0)
		if math.Abs(got/want-1) > 0.08 {
			t.Errorf("coherent %v: %v, want %v", c.coherent, got, want)
		}
	}
}

func TestSymbolToNoise(t *testing.T) {
	if got := 10 * math.Log10(SymbolToNoise(-10.5, 31.25)); math.Abs(got-8.53) > 0.005 {
		t.Errorf("%v dB, want 8.53", got)
	}
}

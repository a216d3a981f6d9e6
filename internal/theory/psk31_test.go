package theory

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Errors of characters follow those of symbols: few of them, each spoils a character or two. In fading the mean of q is
// ½(1-√(γ/(1+γ))) (Proakis, Digital Communications, from memory), and errors come together.
func TestPSK31(t *testing.T) {
	const ratio = 4.0
	q := tail(math.Sqrt(2 * ratio))
	symbols := 7.9 // a character of this text, on the average, with the 00 behind it
	got := PSK31(rand.New(rand.NewPCG(1, 2)), ratio, 0, 40)
	if got < symbols*q || got > 2*symbols*q {
		t.Errorf("steady: %.4f, want %.4f to %.4f", got, symbols*q, 2*symbols*q)
	}
	const strong = 300.0
	q = (1 - math.Sqrt(strong/(1+strong))) / 2
	got = PSK31(rand.New(rand.NewPCG(1, 2)), strong, 1, 40)
	if got < 0.4*symbols*q || got > 2*symbols*q {
		t.Errorf("fading: %.4f, want %.4f to %.4f", got, 0.4*symbols*q, 2*symbols*q)
	}
	if PSK31(rand.New(rand.NewPCG(1, 2)), 100, 0, 2) != 0 {
		t.Error("errors without noise")
	}
}

// The code of four phases wins over two that are told from neighbouring symbols, whose bits are wrong with ½ exp(-Es/N0) (Proakis,
// Digital Communications, from memory), at the same energy of a symbol.
func TestPSK31Four(t *testing.T) {
	const ratio, symbols = 4.0, 7.9
	two := symbols * PSK{}.Bit(ratio)
	if got := PSK31Four(rand.New(rand.NewPCG(1, 2)), ratio, 40); got == 0 || got > two {
		t.Errorf("%.4f, two phases have %.4f", got, two)
	}
	if PSK31Four(rand.New(rand.NewPCG(1, 2)), 100, 2) != 0 {
		t.Error("errors without noise")
	}
}

package theory

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// units is the number of information elements of a teleprinter character (ITU-T S.1): the start and stop elements
// are known to a receiver with perfect timing.
const units = 5

// FSK is teleprinter keying between two orthogonal tones, received by two matched filters in white noise.
type FSK struct {
	Baud     float64 // elements per second
	Coherent bool    // the phase of each tone is known; otherwise envelopes are compared

	// Paths is 0 for a steady signal, 1 for flat Rayleigh fading, 2 for two paths of equal strength that fade by
	// themselves and are received apart (dual diversity: maximal ratio if coherent, else the sum of squares).
	// Fading is slow, constant over a character, and Eb/N0 and SNR are means, of both paths together.
	Paths int
}

// Bit is the probability that an element is wrong.
//
// Steady: ½ exp(-Eb/2N0), coherent Q(√(Eb/N0)). Fading: p = 1/(2+γ), coherent ½ (1-√(γ/(2+γ))), where γ is the mean
// Eb/N0 of a path; two paths p² (3-2p). Proakis, Digital Communications, chapters on noncoherent detection and on
// Rayleigh fading with diversity (from memory).
func (f FSK) Bit(ebN0 float64) float64 {
	if f.Paths == 0 {
		return f.steadyBit(ebN0)
	}
	gamma := ebN0 / float64(f.Paths)
	p := 1 / (2 + gamma)
	if f.Coherent {
		// ½ (1-√r) with r = γ/(2+γ) = 1-2p, without the difference of two numbers near one
		p /= 1 + math.Sqrt(1-2*p)
	}
	if f.Paths == 2 {
		p *= p * (3 - 2*p)
	}
	return p
}

// steadyBit is the probability of an error for one strength of the signal, of all paths together. The envelopes of
// two paths, added as squares: ⅛ exp(-Eb/2N0) (4 + Eb/2N0) (Proakis, multichannel signals, from memory).
func (f FSK) steadyBit(ebN0 float64) float64 {
	switch {
	case f.Coherent:
		return tail(math.Sqrt(ebN0))
	case f.Paths == 2:
		return math.Exp(-ebN0/2) * (4 + ebN0/2) / 8
	}
	return math.Exp(-ebN0/2) / 2
}

// Character is the probability that one of the five elements of a character is wrong.
func (f FSK) Character(ebN0 float64) float64 {
	steady := func(ebN0 float64) float64 { return -math.Expm1(units * math.Log1p(-f.steadyBit(ebN0))) }
	if f.Paths == 0 {
		return steady(ebN0)
	}
	// Mean over the strength x, of density exp(-x/γ)/γ, two paths x exp(-x/γ)/γ². With x = t² the integrand is
	// smooth, and it has died away where either exp(-x/γ) or the error rate itself is below exp(-40).
	gamma := ebN0 / float64(f.Paths)
	return quad.Fixed(func(t float64) float64 {
		x := t * t
		density := math.Exp(-x/gamma) / gamma
		if f.Paths == 2 {
			density *= x / gamma
		}
		return 2 * t * density * steady(x)
	}, 0, min(9, 6.5*math.Sqrt(gamma)), 96, quad.Legendre{}, 0)
}

// CER is the character error rate at snrdB in 2500 Hz. An error in a shift character counts once: what it does to
// the characters behind it is left out.
func (f FSK) CER(snrdB float64) float64 { return f.Character(EnergyRatio(snrdB, 1/f.Baud)) }

// Curve is [FSK.CER] with a name.
func (f FSK) Curve() Curve {
	return Curve{
		Name: fmt.Sprintf("theory, %.4g Bd %s%s", f.Baud, detection(f.Coherent), [...]string{"", ", Rayleigh fading", ", dual diversity"}[f.Paths]),
		At:   f.CER,
	}
}

func detection(coherent bool) string {
	if coherent {
		return "coherent"
	}
	return "noncoherent"
}

// tail is Q(x), the probability that a normal variable of variance 1 is above x.
func tail(x float64) float64 { return math.Erfc(x/math.Sqrt2) / 2 }

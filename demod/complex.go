package demod

import "math"

// Power returns |z|².
func Power(z complex64) float32 { return real(z)*real(z) + imag(z)*imag(z) }

// Cis returns cos(angle) + j·sin(angle), of an angle in radians.
func Cis(angle float64) complex64 {
	sin, cos := math.Sincos(angle)
	return complex64(complex(cos, sin))
}

// Sqrt32 is the square root in single precision.
func Sqrt32(x float32) float32 { return float32(math.Sqrt(float64(x))) }

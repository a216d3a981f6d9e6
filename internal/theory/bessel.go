package theory

import "math"

// logI0 is ln I0(x), x ≥ 0, of the modified Bessel function of order 0, with an error below 4.8e-7.
// Abramowitz and Stegun, Handbook of Mathematical Functions, 9.8.1 (to 1.6e-7) and 9.8.2 (to 1.9e-7 of √x·exp(-x)·I0,
// which is 0.4 or more).
func logI0(x float64) float64 {
	if x <= 3.75 {
		t := x / 3.75
		t *= t
		return math.Log(1 + t*(3.5156229+t*(3.0899424+t*(1.2067492+t*(0.2659732+t*(0.0360768+t*0.0045813))))))
	}
	t := 3.75 / x
	return x - math.Log(x)/2 + math.Log(0.39894228+t*(0.01328592+t*(0.00225319+t*(-0.00157565+t*(0.00916281+
		t*(-0.02057706+t*(0.02635537+t*(-0.01647633+t*0.00392377))))))))
}

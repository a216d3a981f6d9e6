package demod

import "math"

// LogI0 is ln I0(x), I0 the modified Bessel function of order 0, for x >= 0: from a table, good to 0.001; beyond 512 a
// straight line. It is what an envelope says of a signal of unknown phase: the density by Rice over that by Rayleigh of
// a stretch of length L with sum S, for amplitude a and noise of variance n a sample, is
//
//	ln I0(2a|S|/n) - a²L/n
//
// (Helstrom, Elements of Signal Detection and Estimation, from memory).
func LogI0(x float32) float32 {
	u := x * (1 / logI0Step)
	if u >= logI0Points-1 {
		return logI0Table[logI0Points-1] + x - (logI0Points-1)*logI0Step
	}
	i := int(u)
	f := u - float32(i)
	return logI0Table[i] + f*(logI0Table[i+1]-logI0Table[i])
}

const (
	logI0Step   = 0.125
	logI0Points = 4096
)

var logI0Table = func() (t [logI0Points]float32) {
	for i := range t {
		t[i] = float32(exactLogI0(float64(i) * logI0Step))
	}
	return t
}()

// exactLogI0 sums the power series up to x = 30, and the asymptotic one beyond (Abramowitz and Stegun 9.6.12, 9.7.1).
func exactLogI0(x float64) float64 {
	if x < 30 {
		sum, term := 1.0, 1.0
		for k := 1.0; term > sum*1e-17; k++ {
			term *= x * x / 4 / (k * k)
			sum += term
		}
		return math.Log(sum)
	}
	sum, term := 1.0, 1.0
	for k := 1.0; k < 8; k++ {
		term *= (2*k - 1) * (2*k - 1) / (8 * k * x)
		sum += term
	}
	return x - math.Log(2*math.Pi*x)/2 + math.Log(sum)
}

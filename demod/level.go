package demod

import "math"

// Level tracks a mean power with an exponential window. Until one time constant has passed it is the plain
// mean of what came so far, so that it is right from the first sample on.
type Level struct {
	mean  float64
	share float64 // weight of a new value once settled
	n     float64 // values so far, until 1/n reaches share
}

// NewLevel makes a tracker for values at rate Hz with a time constant in seconds: a step has come to 1-1/e of
// its height after that time.
func NewLevel(rate, seconds float64) Level {
	return Level{share: -math.Expm1(-1 / (rate * seconds))}
}

// Add takes one power, |z|².
func (l *Level) Add(power float32) {
	w := l.share
	if l.n*w < 1 {
		l.n++
		w = max(w, 1/l.n)
	}
	l.mean += w * (float64(power) - l.mean)
}

// Power is the mean so far; 0 before the first value.
func (l *Level) Power() float64 { return l.mean }

// Reset forgets all values.
func (l *Level) Reset() { l.mean, l.n = 0, 0 }

// MomentSNR separates a signal of constant envelope from complex Gaussian noise by the second and fourth
// moments of the envelope: sums of |z|² and |z|⁴ over n samples. With M2 = S+N and M4 = S²+4SN+2N²,
//
//	S = √(2·M2² - M4),  N = M2 - S
//
// (the M2M4 estimator: Pauluzzi and Beaulieu, "A comparison of SNR estimation techniques for the AWGN
// channel", IEEE Trans. Commun. 48(10), 2000). The powers are those in the bandwidth of z; noise alone gives a
// signal of 0 or, by chance, little. Samples need not be independent, but only independent ones add accuracy.
func MomentSNR(n int, sumSquare, sumFourth float64) (signal, noise float64) {
	if n <= 0 {
		return 0, 0
	}
	m2, m4 := sumSquare/float64(n), sumFourth/float64(n)
	signal = min(math.Sqrt(max(2*m2*m2-m4, 0)), m2)
	return signal, m2 - signal
}

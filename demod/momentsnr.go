package demod

import "math"

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

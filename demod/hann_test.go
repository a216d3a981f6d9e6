package demod

import (
	"math"
	"testing"
)

// Windows that overlap by half add up to 1, and so do those of a quarter to 2 (F. J. Harris, Proceedings of the IEEE 66, 1978, p. 51,
// of the raised cosine); the mean of its squares is 3/8.
func TestHann(t *testing.T) {
	const n = 64
	squares := 0.0
	for i := range n {
		if v := Hann(i, n) + Hann((i+n/2)%n, n); math.Abs(v-1) > 1e-12 {
			t.Errorf("%d: %v", i, v)
		}
		if v := Hann(i, n) + Hann((i+n/4)%n, n) + Hann((i+n/2)%n, n) + Hann((i+3*n/4)%n, n); math.Abs(v-2) > 1e-12 {
			t.Errorf("%d: %v", i, v)
		}
		squares += Hann(i, n) * Hann(i, n)
	}
	if math.Abs(squares/n-3.0/8) > 1e-12 {
		t.Error(squares / n)
	}
}

package cw

import (
	"math"
	"testing"
)

// Against the matrix exponential, the Lyapunov equation and the joint density of all samples by SciPy;
// testdata/swing.py.
func TestCarrier(t *testing.T) {
	var s swing
	s.set(0.05, 2)
	hh, hv, vh, vv, p, c, w := s.over(7)
	got := []float32{hh, hv, vh, vv, p, c, w}
	for i, want := range []float64{0.951329, 4.93282, -0.012332, 0.458047, 0.0682832, 0.0121663, 0.00364681} {
		if math.Abs(float64(got[i])-want) > 1e-5*max(1, math.Abs(want)) {
			t.Errorf("over seven steps, value %d: %v, want %v", i, got[i], want)
		}
	}

	const noise = 0.3
	k, sum := s.after(s.unknown(), 100), float32(0) // of the unknown nothing is forgotten
	marks := [][]complex64{{1.1 + 0.4i, 1.3 + 0.2i, 0.9 + 0.3i}, {0.2 - 0.1i, -0.1 - 0.2i, -0.5i, -0.3 - 0.4i}}
	for i, want := range []float64{9.309942, 6.498374} {
		for _, z := range marks[i] {
			sum += k.hear(&s, z, noise)
		}
		if math.Abs(float64(sum)-want) > 1e-4 {
			t.Errorf("after mark %d: %v, want %v", i, sum, want)
		}
		k = s.after(k, 7) // and one step more in hear
	}
}

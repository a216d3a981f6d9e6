package demod

import (
	"math"
	"testing"
)

// ln I0 by SciPy 1.10.1; testdata/logi0.py.
func TestLogI0(t *testing.T) {
	for x, want := range map[float64]float64{0: 0, 0.5: 0.061550, 1: 0.235914, 5: 3.304682, 30: 27.384701, 100: 96.779733, 400: 396.085642} {
		if got := float64(LogI0(float32(x))); math.Abs(got-want) > 2e-3 {
			t.Errorf("ln I0(%v) = %v, want %v", x, got, want)
		}
	}
	// Beyond the table a straight line, which is less than one part in a thousand off at twice its length.
	const far = 1000
	if got, want := float64(LogI0(far)), far-math.Log(2*math.Pi*far)/2; math.Abs(got-want) > 1e-3*far {
		t.Errorf("ln I0(%v) = %v, want %v", far, got, want)
	}
}

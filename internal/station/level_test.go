package station

import (
	"math"
	"testing"
)

// A sine of half of full scale has a peak of -6.02 dB and an rms value 3.01 dB below that (1/√2); one beyond full scale, which is
// cut there, is at full scale for the share of the time in which its phase is within acos(0.99/2)·2/π of a peak.
func TestLevel(t *testing.T) {
	measure := func(amplitude float64) Level {
		m := &meter{rate: 8000}
		x := make([]float32, 8000)
		for i := range x {
			x[i] = float32(min(max(amplitude*math.Sin(2*math.Pi*100.3*float64(i)/8000), -1), 1))
		}
		m.add(Block{Audio: x})
		l, ok := m.level()
		if !ok {
			t.Fatal("no level after a second")
		}
		return l
	}
	near := func(a, b, by float64) bool { return math.Abs(a-b) <= by }
	if l := measure(0.5); !near(l.Peak, -6.02, 0.01) || !near(l.RMS, -9.03, 0.02) || l.Clipped != 0 {
		t.Errorf("%+v", l)
	}
	if l := measure(2); !near(l.Peak, 0, 0.01) || !near(l.Clipped, 2/math.Pi*math.Acos(0.99/2), 0.01) {
		t.Errorf("%+v", l)
	}
	if l := measure(0); l.RMS != leastLevel || l.Peak != leastLevel {
		t.Errorf("%+v", l)
	}
}

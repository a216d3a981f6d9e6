package samples

import (
	"math"
	"testing"
)

// Teleprinter and Morse go on past the end of their first message, at the power they tell.
func TestEndless(t *testing.T) {
	for name, source := range map[string]func(rate float64, seed uint64) (Signal, error){"teleprinter": TeleprinterAt(1000), "morse": MorseAt(1000)} {
		s, err := source(4000, 1)
		if err != nil {
			t.Fatal(err)
		}
		x := mustRead(t, NewLimit(s, 400)) // a message lasts 98 s and some 250 s
		peak := 0.0
		for _, v := range x[len(x)-40*4000:] {
			peak = max(peak, math.Abs(float64(v)))
		}
		if len(x) != 400*4000 || math.Abs(peak*peak/2-s.Power()) > 0.01*s.Power() {
			t.Errorf("%s: %d samples, peak %.3f, power %.3f", name, len(x), peak, s.Power())
		}
	}
	if _, err := TeleprinterAt(1e6)(4000, 1); err == nil {
		t.Error("1 MHz is taken")
	}
}

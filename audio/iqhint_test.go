package audio

import (
	"math"
	"math/rand/v2"
	"testing"
)

// I and Q of carriers in noise, even of an unbalanced receiver, look so; the same channel twice, with a noise of each,
// delayed, and two receivers do not.
func TestLooksIQ(t *testing.T) {
	const n, rate = 60000, 12000
	rng := rand.New(rand.NewPCG(1, 2))
	noise := func() float64 { return 0.02 * rng.NormFloat64() }
	mono := make([]float64, n)
	for i := range mono {
		for _, hz := range []float64{700, 1500, 1510, 2300} {
			mono[i] += 0.1 * math.Sin(2*math.Pi*hz*float64(i)/rate)
		}
		mono[i] += 5 * noise()
	}
	band := func(gain, turn float64) func(int) (float64, float64) {
		return func(i int) (a, b float64) {
			for _, hz := range []float64{-3000, 700, 1510} {
				at := 2 * math.Pi * hz * float64(i) / rate
				a += 0.1 * math.Cos(at)
				b += 0.1 * gain * math.Sin(at+turn)
			}
			return a + noise(), b + noise()
		}
	}
	for name, c := range map[string]struct {
		both func(int) (float64, float64)
		want bool
	}{
		"band":       {band(1, 0), true},
		"mirrored":   {band(-1, 0), true},
		"unbalanced": {band(1.15, 0.1), true},
		"same":       {func(i int) (float64, float64) { return mono[i], mono[i] }, false},
		"stereo":     {func(i int) (float64, float64) { return mono[i] + noise(), 0.6*mono[i] + noise() }, false},
		"late":       {func(i int) (float64, float64) { return mono[i], mono[max(i-7, 0)] }, false},
		"receivers":  {func(i int) (float64, float64) { return mono[i], 5 * noise() }, false},
		"one silent": {func(i int) (float64, float64) { return mono[i], 0 }, false},
	} {
		x := make([]int16, 2*n)
		for i := range n {
			a, b := c.both(i)
			x[2*i], x[2*i+1] = toS16(float32(a)), toS16(float32(b))
		}
		path := writeFile(t, "a.wav", riff("RIFF", format(1, 2, rate, 16), s16(x...)))
		if got := LooksIQ(path, Options{}); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
	if LooksIQ("missing", Options{}) || LooksIQ("testdata/sox-s16.wav", Options{}) {
		t.Error("without two channels")
	}
}

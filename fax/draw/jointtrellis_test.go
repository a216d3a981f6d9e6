package draw

import (
	"math"
	"math/rand/v2"
	"testing"
)

// lineOf observes a line of some levels: phases that white turns forward by advance radians a step and black back, with Gaussian
// errors of sigma radians.
func lineOf(rng *rand.Rand, white []bool, advance, sigma float64) *trellis {
	t := newTrellis(len(white), advance)
	phase := 2 * math.Pi * rng.Float64()
	for i, w := range white {
		if w {
			phase += advance
		} else {
			phase -= advance
		}
		t.observe(i, float32(math.Remainder(phase+sigma*rng.NormFloat64(), 2*math.Pi)), float32(1/(sigma*sigma)))
	}
	return t
}

// strokes are levels that change as firstChain expects.
func strokes(rng *rand.Rand, n int) []bool {
	white := make([]bool, n)
	level := true
	for i := range white {
		if c := rng.Float64(); level && c < float64(firstChain.toBlack) || !level && c < float64(firstChain.toWhite) {
			level = !level
		}
		white[i] = level
	}
	return white
}

const testAdvance = 2 * math.Pi * 400 / VideoRate // a deviation of 400 Hz, a step a sample

// With one copy the joint trellis is that of the copy.
func TestJointOfOne(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	const n = 600
	line := lineOf(rng, strokes(rng, n), testAdvance, 0.9)
	alone, joint, prior := make([]float32, n), make([]float32, n), make([]float32, n)
	for i := range prior {
		prior[i] = 0.3 + 0.4*rng.Float32()
	}
	line.run(alone, prior, firstChain)
	newJointTrellis([]*trellis{line}).run(joint, prior, firstChain)
	for i, v := range alone {
		if math.Abs(float64(v-joint[i])) > 1e-5 {
			t.Fatalf("step %d: %v, alone %v", i, joint[i], v)
		}
	}
}

// Two copies with independent errors are as good as one whose errors have half the variance, as theory has it of independent
// observations: the wrong steps of two are no more than those of one with 0.3 dB less than 3 dB more. A copy that says
// nothing changes nothing.
func TestJointOfTwo(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	const n, lines = 1000, 40
	const sigma = 0.9
	stronger := sigma * math.Pow(10, -2.7/20)
	wrong := map[string]int{}
	out, prior := make([]float32, n), make([]float32, n)
	for i := range prior {
		prior[i] = 0.5
	}
	for range lines {
		white := strokes(rng, n)
		count := func(name string, copies ...*trellis) {
			newJointTrellis(copies).run(out, prior, firstChain)
			for i, w := range white {
				if (out[i] > 0.5) != w {
					wrong[name]++
				}
			}
		}
		a, b := lineOf(rng, white, testAdvance, sigma), lineOf(rng, white, testAdvance, sigma)
		silent := newTrellis(n, testAdvance)
		silent.ignore()
		count("one", a)
		count("two", a, b)
		count("one and silence", a, silent)
		count("stronger", lineOf(rng, white, testAdvance, stronger))
	}
	t.Log(wrong)
	if wrong["one and silence"] != wrong["one"] || wrong["two"] > wrong["stronger"] || wrong["stronger"] > wrong["one"] {
		t.Error(wrong)
	}
}

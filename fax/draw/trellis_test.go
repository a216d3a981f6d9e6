package draw

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The forward-backward recursion must give what its definition gives: the sum over all sequences of levels and
// phases, written out (Bahl, Cocke, Jelinek, Raviv 1974, equations 1 to 3).
func TestTrellisEqualsEnumeration(t *testing.T) {
	const n = 5
	rng := rand.New(rand.NewPCG(1, 1))
	for _, advance := range []float64{0.695, 0.926, 0.262} { // 120 and 90 lines a minute; LF
		tr := newTrellis(n, advance)
		prior, white := make([]float32, n), make([]float32, n)
		for i := range n {
			prior[i] = 0.2 + 0.6*rng.Float32()
			tr.observe(i, (rng.Float32()*2-1)*math.Pi, 8*rng.Float32())
		}
		c := chain{toBlack: 0.1, toWhite: 0.3}
		tr.run(white, prior, c)

		var share, total [n]float64
		var levels [n]bool
		var walk func(i int, level bool, phase int, p float64)
		walk = func(i int, level bool, phase int, p float64) {
			phase = (phase + 10*phaseBins) % phaseBins
			own := float64(prior[i])
			if !level {
				own = 1 - own
			}
			p *= own * float64(tr.rows[i][tr.rotation[i]+phase])
			levels[i] = level
			if i == n-1 {
				for k, l := range levels {
					total[k] += p
					if l {
						share[k] += p
					}
				}
				return
			}
			change, sign := float64(c.toWhite), -1
			if level {
				change, sign = float64(c.toBlack), 1
			}
			walk(i+1, !level, phase, p*change)
			levels[i] = level
			for k, s := range []float32{tr.behind, tr.on, tr.beyond} {
				walk(i+1, level, phase+sign*(tr.whole+k-1), p*(1-change)*float64(s))
				levels[i] = level
			}
		}
		for q := range phaseBins {
			// Before the first step lies one of either level; its change into the first is part of the chain.
			for _, level := range []bool{true, false} {
				first := tr.behind + tr.on + tr.beyond
				stay, enter := 1-float64(c.toBlack), float64(c.toWhite)
				if !level {
					stay, enter = 1-float64(c.toWhite), float64(c.toBlack)
				}
				walk(0, level, q, stay*float64(first)+enter)
			}
		}
		for i := range n {
			if want := share[i] / total[i]; math.Abs(want-float64(white[i])) > 1e-5 {
				t.Errorf("advance %g, step %d: white %.6f, enumeration %.6f", advance, i, white[i], want)
			}
		}
	}
}

// The quantised observation must be the von Mises density of the phase (Mardia and Jupp, Directional Statistics,
// 2000, 3.5.17) to within the quantisation: 1/16 bin in phase and half a step in strength.
func TestObservationIsVonMises(t *testing.T) {
	tr := newTrellis(1, 0.7)
	for _, k := range []float64{0.5, 3, 10} {
		for phi := -3.1; phi < 3.1; phi += 0.37 {
			tr.observe(0, float32(phi), float32(k))
			for q := range phaseBins {
				x := 2 * math.Pi * float64(q) / phaseBins
				want := k * (math.Cos(phi-x) - 1)
				got := math.Log(float64(tr.rows[0][tr.rotation[0]+q]))
				// d/dφ of the exponent is at most k, d/dk at most 2.
				slack := k*math.Pi/(phaseBins*binParts) + 2*math.Sqrt(k*maxStrength)/(strengths-1) + 0.02
				if math.Abs(got-want) > slack {
					t.Fatalf("k %g φ %.2f bin %d: exponent %.3f, want %.3f ± %.3f", k, phi, q, got, want, slack)
				}
			}
		}
	}
}

// A chart's prior comes from its own neighbouring lines: what they show everywhere is expected everywhere, and a
// chart of noise expects nothing.
func TestSurroundingsLearnOnlyWhatIsThere(t *testing.T) {
	const columns, rows = 300, 60
	rng := rand.New(rand.NewPCG(2, 2))
	row := func(dark int) []uint8 {
		r := make([]uint8, columns)
		for i := range r {
			r[i] = uint8(235 + rng.IntN(21))
			if i%20 == dark || i%20 == dark+1 {
				r[i] = uint8(rng.IntN(40))
			}
		}
		return r
	}
	for name, move := range map[string]int{"vertical strokes": 0, "strokes at random": 7} {
		s := &surroundings{low: 77, high: 204}
		var codes [rows][]uint8
		var lines [rows][]uint8
		for r := range lines {
			lines[r] = row((5 + r*move*r) % 18)
			codes[r] = make([]uint8, columns)
			s.code(codes[r], lines[r])
		}
		for r := 1; r < rows-1; r++ {
			s.learn(lines[r], codes[r-1], codes[r+1])
		}
		s.settle(0.9)
		c := 9*2 + 0*3 + 0 // white, black, black: the first column of a stroke
		p := s.prior[c*rowContexts+c]
		if vertical := move == 0; vertical != (p < 0.2) {
			t.Errorf("%s: prior of white between strokes is %.2f", name, p)
		}
	}
}

package draw

// jointTrellis finds the levels of a line that several copies have in common. The phase of each copy is its own; given the level of
// a step, what is known of one phase is kept apart from what is known of the others (assumed density filtering; T. P. Minka,
// Uncertainty in Artificial Intelligence 17, 2001, p. 362), so that the work grows with the number of copies and not with the
// number of all their phases together. With one copy it is the trellis of that copy.
type jointTrellis struct {
	copies  []*trellis
	phases  []phaseBeliefs
	forward []jointStep
	stored  []phaseBeliefs // of forward: a step's are those of all copies
	next    []branches
}

// phaseBeliefs is how probable each phase of a copy is if the level is white or black: twice around, see weights.
type phaseBeliefs [2]weights

// jointStep is what is known of the levels from the steps up to one.
type jointStep [2]float32

// branches are the ways from one step to the next for a copy: what they make of its phases, and the sums. stay[0] is from white to
// white, change[0] from black to white.
type branches struct {
	stay, change       [2][phaseBins]float32
	staySum, changeSum [2]float32
}

func newJointTrellis(copies []*trellis) *jointTrellis {
	steps := len(copies[0].rows)
	return &jointTrellis{copies: copies, phases: make([]phaseBeliefs, len(copies)), forward: make([]jointStep, steps),
		stored: make([]phaseBeliefs, steps*len(copies)), next: make([]branches, len(copies))}
}

// run is trellis.run with what all copies observed.
func (t *jointTrellis) run(white, prior []float32, c chain) {
	t.ahead(prior, c)
	t.back(white, prior, c)
}

// turned are the beliefs from which those of the same level a step further on come (ahead) or, behind, a step back: from the bin
// beyond that by which the level turns the phase, from this one, and from the one before it.
func (t *trellis) turned(w *weights, level int, ahead bool) (beyond, on, behind *[phaseBins]float32) {
	k, side := t.whole, 1
	if (level == 1) == ahead { // black puts the phase back, and so does white as seen from behind
		k, side = -k, -1
	}
	return at(w, behindBy(k+side)), at(w, behindBy(k)), at(w, behindBy(k-side))
}

// leastWeight keeps quotients of weights finite.
const leastWeight = 1e-30

// weigh multiplies the weights of the ways by what a copy says of each, over the most that it says of any.
func (n *branches) weigh(ways *[2][2]float32) {
	scale := 1 / (max(n.staySum[0], n.staySum[1], n.changeSum[0], n.changeSum[1]) + leastWeight)
	for l := range ways {
		ways[l][0] *= n.staySum[l] * scale
		ways[l][1] *= n.changeSum[l] * scale
	}
}

// mix sets the beliefs at a level by the shares of both ways.
func (n *branches) mix(f *weights, level int, stay, change float32) {
	a, b := stay/(n.staySum[level]+leastWeight), change/(n.changeSum[level]+leastWeight)
	for q := range phaseBins {
		v := a*n.stay[level][q] + b*n.change[level][q]
		f[q], f[q+phaseBins] = v, v
	}
}

// know sets all phases of all copies alike.
func (t *jointTrellis) know(weight float32) {
	for k := range t.phases {
		for level := range 2 {
			for q := range t.phases[k][level] {
				t.phases[k][level][q] = weight
			}
		}
	}
}

// take goes the ways of a step: it sets what is known of the phases, and returns the weights of the levels, which add up to 1.
func (t *jointTrellis) take(ways *[2][2]float32) (level jointStep) {
	scale := 1 / (ways[0][0] + ways[0][1] + ways[1][0] + ways[1][1] + leastWeight)
	for l := range 2 {
		sum := ways[l][0] + ways[l][1]
		level[l] = sum * scale
		for k := range t.copies {
			t.next[k].mix(&t.phases[k][l], l, ways[l][0]/(sum+leastWeight), ways[l][1]/(sum+leastWeight))
		}
	}
	return level
}

// ahead is the forward pass.
func (t *jointTrellis) ahead(prior []float32, c chain) {
	t.know(1.0 / phaseBins)
	level := jointStep{0.5, 0.5}
	stay, change := [2]float32{1 - c.toBlack, 1 - c.toWhite}, [2]float32{c.toWhite, c.toBlack}
	for i := range t.forward {
		p := [2]float32{prior[i], 1 - prior[i]}
		var ways [2][2]float32 // to each level: from the same, from the other
		for l := range 2 {
			ways[l] = [2]float32{level[l] * stay[l] * p[l], level[1-l] * change[l] * p[l]}
		}
		for k, s := range t.copies {
			n := &t.next[k]
			o := (*[phaseBins]float32)(s.rows[i][s.rotation[i]:])
			for l := range 2 {
				x0, x1, x2 := s.turned(&t.phases[k][l], l, true)
				other := at(&t.phases[k][1-l], 0)
				var a, b float32
				for q := range phaseBins {
					v := (s.beyond*x0[q] + s.on*x1[q] + s.behind*x2[q]) * o[q]
					w := other[q] * o[q]
					n.stay[l][q], n.change[l][q] = v, w
					a += v
					b += w
				}
				n.staySum[l], n.changeSum[l] = a, b
			}
			n.weigh(&ways)
		}
		level = t.take(&ways)
		t.forward[i] = level
		copy(t.stored[i*len(t.copies):], t.phases)
	}
}

// back is the backward pass and the joint of both. What is known of the other copies' phases from the steps before weighs the
// ways of a copy.
func (t *jointTrellis) back(white, prior []float32, c chain) {
	t.know(1)
	level := jointStep{1, 1}
	stay, change := [2]float32{1 - c.toBlack, 1 - c.toWhite}, [2]float32{c.toBlack, c.toWhite} // from each level
	for i := len(white) - 1; i >= 0; i-- {
		w, b := t.forward[i][0]*level[0], t.forward[i][1]*level[1]
		white[i] = w / (w + b + leastWeight)
		if i == 0 {
			break
		}
		p := [2]float32{prior[i], 1 - prior[i]}
		before := t.stored[(i-1)*len(t.copies):]
		var ways [2][2]float32 // from each level: to the same, to the other
		for l := range 2 {
			ways[l] = [2]float32{stay[l] * p[l] * level[l], change[l] * p[1-l] * level[1-l]}
		}
		for k, s := range t.copies {
			n := &t.next[k]
			o := (*[phaseBins]float32)(s.rows[i][s.rotation[i]:])
			for l := range 2 { // with what was observed
				f := &t.phases[k][l]
				for q := range phaseBins {
					v := f[q] * o[q]
					f[q], f[q+phaseBins] = v, v
				}
			}
			for l := range 2 {
				x0, x1, x2 := s.turned(&t.phases[k][l], l, false)
				other, f := at(&t.phases[k][1-l], 0), at(&before[k][l], 0)
				var a, b float32
				for q := range phaseBins {
					v := s.beyond*x0[q] + s.on*x1[q] + s.behind*x2[q]
					n.stay[l][q], n.change[l][q] = v, other[q]
					a += f[q] * v
					b += f[q] * other[q]
				}
				n.staySum[l], n.changeSum[l] = a, b
			}
			n.weigh(&ways)
		}
		level = t.take(&ways)
	}
}

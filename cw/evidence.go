package cw

import "math"

// textEvidence is the evidence for text in what a track receives, in nats, added up from character to character: whether
// they are such as are sent, how sure they are, and whether the marks are those of one transmitter (conduct).
type textEvidence struct {
	sum   float64
	text  mixture // of characters in groups and in plain language
	none  mixture // of both rhythms
	any   rhythm  // without regard to what came before
	coded rhythm  // with regard to the last two marks and to the ways that the code has
}

// mixture is how probable each of two models is by what they have predicted, as logarithms.
type mixture [2]float64

// evenly is a mixture of which nothing is known.
var evenly = mixture{math.Log(0.5), math.Log(0.5)}

// farthestBehind is the logarithm of the least probability of a model, lest it take long to come back.
const farthestBehind = -6

// hear takes the logarithms of the probabilities that each model had for what came, and returns that of the mixture.
func (m *mixture) hear(logP [2]float64) float64 {
	for i := range m {
		m[i] += logP[i]
	}
	most := max(m[0], m[1])
	sum := most + math.Log(math.Exp(m[0]-most)+math.Exp(m[1]-most))
	for i := range m {
		m[i] = max(m[i]-sum, farthestBehind)
	}
	return sum
}

// rhythm predicts dots and dashes that follow each other without a meaning, a character ending anywhere. How often is
// learnt, from half an element of each kind on (R. E. Krichevsky and V. K. Trofimov, IEEE Trans. IT-27, 1981).
type rhythm struct {
	coded       bool          // where the code goes on in one way only, that is certain
	heed        int           // bits of last that count
	last        int           // marks, 1 for a dash
	marks, ends [4][2]float64 // after each of what counts: dots and dashes; those that go on and those that end a character
}

// hear is the log-likelihood of a character.
func (r *rhythm) hear(p Pattern) (logP float64) {
	learn := func(x *[2]float64, i int) {
		logP += math.Log((x[i] + 0.5) / (x[0] + x[1] + 1))
		x[0], x[1] = x[0]*elementMemory, x[1]*elementMemory
		x[i]++
	}
	n := &tree[0]
	for i := range p.Len() {
		dash, next := 0, n.dot
		if p.Dash(i) {
			dash, next = 1, n.dash
		}
		if !r.coded || n.dot >= 0 && n.dash >= 0 {
			learn(&r.marks[r.last&r.heed], dash)
		}
		n = &tree[next]
		r.last = r.last<<1&3 | dash
		end := 0
		if i == p.Len()-1 {
			end = 1
		}
		if !r.coded || n.logP > none && (n.dot >= 0 || n.dash >= 0) {
			learn(&r.ends[r.last&r.heed], end)
		}
	}
	return logP
}

const (
	// Evidence in nats. Own choice: with these, music prints next to nothing (TestNothingFromMusic), and messages are printed
	// from their first character on (TestBeginnings).
	passes      = 4.5  // needed before what is held is printed,
	passesLater = 1.5  // so much more after each failure,
	passesAmong = 0.4  // and so much for each rejection that is in force,
	mostAmong   = 6.0  // up to this
	passesEnded = 3.5  // needed if the signal has ended
	fails       = -3.0 // with which a signal is given up
	mostText    = 12.0 // of text, lest what is no Morse any more go on to be printed

	elementMemory = 1 - 1./150 // what is left of an element after the next: 150 elements are 50 characters

	// Nats that a character gains by how sure it is, and by how it follows the others, within limits (own choice).
	sureWeight, usuallySure = 3.0, 0.8
	leastSurety, mostSurety = -1, 0.6
	leastGained, mostGained = -2, 1.5
)

func (e *textEvidence) reset() {
	const lastTwo = 3 // bits
	*e = textEvidence{text: evenly, none: evenly, coded: rhythm{coded: true, heed: lastTwo}}
}

// hear takes the character of a node and its marks. What repeats itself, VVV or TEST, is text if all else is well;
// otherwise it may be the rhythm of anything.
func (e *textEvidence) hear(node int16, c conduct) {
	n := &tree[node]
	any, coded := e.any.hear(n.pattern), e.coded.hear(n.pattern)
	if c.well() {
		coded = any
	}
	text := e.text.hear([2]float64{float64(n.logP), math.Log(float64(english().alone[node]))})
	gained := min(max(text-e.none.hear([2]float64{any, coded}), leastGained), mostGained)
	e.sum += gained + min(max(sureWeight*(c.sure-usuallySure), leastSurety), mostSurety)
	e.sum = min(e.sum, mostText) + c.evidence()
}

package cw

import "math"

// textEvidence is the evidence of text in what a track receives, in nats or what is like them, added up from character
// to character: whether they are such as are sent, how sure they are, and whether the marks are those of one transmitter.
type textEvidence struct {
	sum    float64
	text   mixture   // of characters in groups and in plain language
	none   mixture   // of both rhythms
	rhythm [2]rhythm // whatever came before, and as after the last two marks and as the code has it
}

// mixture is how probable each of two models is by what they have foretold, as logarithms.
type mixture [2]float64

// evenly is a mixture of which nothing is known.
var evenly = mixture{math.Log(0.5), math.Log(0.5)}

// hear takes what each has foretold, and is what the mixture has.
func (m *mixture) hear(logP [2]float64) float64 {
	for i := range m {
		m[i] += logP[i]
	}
	most := max(m[0], m[1])
	sum := most + math.Log(math.Exp(m[0]-most)+math.Exp(m[1]-most))
	for i := range m {
		m[i] = max(m[i]-sum, -6) // neither is ever far behind the other
	}
	return sum
}

// rhythm is dots and dashes that follow each other without a meaning, a character ending anywhere: how often is learnt,
// from half an element of each kind on (R. E. Krichevsky and V. K. Trofimov, IEEE Trans. IT-27, 1981).
type rhythm struct {
	coded       bool          // where the code has one way only, it is taken
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
	passes      = 4.5 // evidence that is enough to print what is held,
	passesLater = 1.5 // so much more after each failure,
	passesAmong = 0.4 // and so much for each rejection that is in force,
	mostAmong   = 6.0 // up to this
	passesEnded = 3.5 // what is enough instead if the signal has ended
	fails       = -3.0
	mostHeld    = 30 // characters; then it fails as well
	mostText    = 12.0

	elementMemory = 1 - 1./150
)

func (e *textEvidence) reset() {
	*e = textEvidence{text: evenly, none: evenly, rhythm: [2]rhythm{{}, {coded: true, heed: 3}}}
}

// hear takes the character of a node and how it was received. What repeats itself, VVV or TEST, is text if all else is
// well; otherwise it may be the rhythm of anything.
func (e *textEvidence) hear(node int16, c conduct) {
	n := &tree[node]
	any, rhythm := e.rhythm[0].hear(n.pattern), e.rhythm[1].hear(n.pattern)
	if c.well() {
		rhythm = any
	}
	gain := e.text.hear([2]float64{float64(n.logP), math.Log(float64(english().alone[node]))}) - e.none.hear([2]float64{any, rhythm})
	e.sum += min(max(gain, -2), 1.5) + min(max(sureWeight*(c.sure-usuallySure), -1), 0.6)
	e.sum = min(e.sum, mostText) + c.evidence()
}

const (
	sureWeight  = 3.0
	usuallySure = 0.8
)

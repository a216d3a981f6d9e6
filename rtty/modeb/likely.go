package modeb

import "math"

// patterns has, for each of the codes of the table, its first three elements and its last four as indices.
var patterns = func() (p [35]struct{ head, tail uint8 }) {
	for i, e := range table {
		p[i].head, p[i].tail = uint8(e.code)&7, uint8(e.code)>>3
	}
	return p
}()

// likelihood is that of each code of the table, given what was heard of seven elements: the product of the probabilities of its
// elements. By chance, each is 1/128.
type likelihood [35]float32

// of reckons with the probabilities that the elements are B.
func (l *likelihood) of(b *[Units]float32) {
	head, tail := [8]float32{1}, [16]float32{1}
	for i := range 3 { // doubles what is filled
		for k := 1<<i - 1; k >= 0; k-- {
			head[k+1<<i], head[k] = head[k]*b[i], head[k]*(1-b[i])
		}
	}
	for i := range 4 {
		for k := 1<<i - 1; k >= 0; k-- {
			tail[k+1<<i], tail[k] = tail[k]*b[i+3], tail[k]*(1-b[i+3])
		}
	}
	for i, p := range patterns {
		l[i] = head[p.head] * tail[p.tail]
	}
}

// Numbers of the service signals in the table.
const (
	rqNumber    = 32
	alphaNumber = 33
)

// Both phasing orders are as likely as any code.
const pairs = 37

// evidence is the log of how much likelier two characters are as both sendings of one, or as a pair of phasing signals, than as
// any patterns.
func evidence(dx, rx *likelihood) float64 {
	sum := dx[alphaNumber]*rx[rqNumber] + dx[rqNumber]*rx[alphaNumber]
	for i := range dx {
		sum += dx[i] * rx[i]
	}
	return math.Log(max(float64(sum), leastChance)) + lnChance
}

// leastChance bounds what two characters that contradict each other say.
const leastChance = 1e-7

// lnChance is the log of 128²/pairs.
var lnChance = 2*Units*math.Ln2 - math.Log(pairs)

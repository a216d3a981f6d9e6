package cw

import "math"

// signs is what kinds of signs somebody sends, as far as they have been heard: whoever has sent letters alone for long
// will hardly send anything else.
type signs struct {
	heard    [kinds]float64
	logShare [kinds]float32 // of each kind over what is usual
}

const (
	usualSigns = 25.0       // signs that the usual shares count for
	signMemory = 1 - 1./200 // what is left of a sign after the next
)

// hear takes a sign. The surer it is the more it counts.
func (s *signs) hear(k kind, sure float64) {
	sum := usualSigns
	for i := range s.heard {
		s.heard[i] *= signMemory
		sum += s.heard[i]
	}
	s.heard[k] += sure
	sum += sure
	for i := range s.heard {
		s.logShare[i] = float32(math.Log((usualSigns + s.heard[i]/usualShares[i]) / sum))
	}
}

// logP is the prior of the character of a node, none if it is none.
func (s *signs) logP(k int) float32 { return tree[k].logP + s.logShare[tree[k].kind] }

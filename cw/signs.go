package cw

import "math"

// signs learns which kinds of signs a sender uses: one that has sent letters alone for long will hardly send others.
type signs struct {
	heard    [kinds]float64
	logShare [kinds]float32 // of each kind over what is usual
}

const (
	usualSigns = 25.0       // signs that the usual shares count for (own choice)
	signMemory = 1 - 1./200 // weight of a sign after the next one (own choice)
)

// hear takes a sign, which counts by its confidence.
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

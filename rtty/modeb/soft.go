package modeb

import "math"

// Soft is what is known of a character that was received: the log-probability of each of the 35 legal patterns, in the order of
// the code's table.
type Soft [len(table)]float32

// leastLn bounds what is believed of a character: errors that are no noise (an echo, a slip) make likelihoods that are too sure.
const leastLn = -14.0

// Unknown is a character of which nothing is known.
func Unknown() (s Soft) {
	s.normalise()
	return s
}

// Surely is a character that is c with a probability p, and anything else alike.
func Surely(c Code, p float64) (s Soft) {
	for i := range s {
		s[i] = float32(math.Log((1 - p) / float64(len(s)-1)))
	}
	s[number[c]] = float32(math.Log(p))
	s.normalise()
	return s
}

// Of is the log-probability that the character is c, which must be legal.
func (s *Soft) Of(c Code) float64 { return float64(s[number[c]]) }

// Best is the likeliest pattern and its probability.
func (s *Soft) Best() (Code, float64) {
	best := 0
	for i, v := range s {
		if v > s[best] {
			best = i
		}
	}
	return table[best].code, math.Exp(float64(s[best]))
}

// normalise makes log-likelihoods log-probabilities, all patterns being as likely before.
func (s *Soft) normalise() {
	most := s[0]
	for _, v := range s {
		most = max(most, v)
	}
	sum := 0.0
	for i, v := range s {
		s[i] = max(v-most, leastLn)
		sum += math.Exp(float64(s[i]))
	}
	ln := float32(math.Log(sum))
	for i := range s {
		s[i] -= ln
	}
}

// join adds what is known of the same character from another reception.
func (s *Soft) join(o *Soft) {
	for i, v := range o {
		s[i] += v
	}
	s.normalise()
}

// agreement is the log-likelihood ratio that two receptions are of the same character, against two at random.
func (s *Soft) agreement(o *Soft) float64 {
	sum := 0.0
	for i, v := range s {
		if v += o[i]; v > 2*leastLn {
			sum += math.Exp(float64(v))
		}
	}
	return math.Log(float64(len(s))*sum + math.Exp(2*leastLn))
}

package psk

import "math"

// speller makes characters of bits.
type speller struct {
	code    int
	sure    [12]float64 // probabilities that the bits of the code are right
	length  int
	at      int64   // of the first bit
	zero    bool    // the last bit was a 0,
	zeroed  float64 // with this probability,
	ended   float64 // both of the last, with this,
	started float64 // and those before the code, with this
	lost    bool    // the code is longer than any
	cr      bool
}

// spelled is a character.
type spelled struct {
	at         int64
	char       rune
	confidence float64
}

// bit takes the log-likelihood ratio for 1 of a bit, and the number of its symbol.
func (s *speller) bit(ratio float64, at int64) (c spelled, ok bool) {
	sure := 1 / (1 + math.Exp(-math.Abs(ratio)))
	if ratio > 0 {
		if s.zero && s.length > 0 {
			s.put(0, s.zeroed)
		}
		s.zero = false
		if s.length == 0 {
			s.code, s.at = 0, at
			s.started = s.ended
			s.ended = 0.5 // until there are zeros again
		}
		s.put(1, sure)
		return c, false
	}
	if !s.zero {
		s.zero, s.zeroed = true, sure
		return c, false
	}
	if s.length > 0 {
		c, ok = s.character(s.started * s.zeroed * sure)
	}
	s.length, s.lost = 0, false
	s.ended = s.zeroed * sure
	s.zeroed = sure
	return c, ok
}

func (s *speller) put(bit int, sure float64) {
	if s.length == len(s.sure) {
		s.lost = true
		return
	}
	s.code = s.code<<1 | bit
	s.sure[s.length] = sure
	s.length++
}

// character is that of the code; of one that is none, the one that differs in the bit that is least sure.
func (s *speller) character(confidence float64) (c spelled, ok bool) {
	if s.lost || s.length > mostBits {
		return c, false
	}
	n := characters[s.code]
	for _, p := range s.sure[:s.length] {
		confidence *= p
	}
	if n < 0 {
		best := 0.0
		for i := range s.length {
			p := s.sure[i]
			if m := characters[s.code^1<<(s.length-1-i)]; m >= 0 && (1-p)/p > best {
				best, n = (1-p)/p, m
			}
		}
		if n < 0 {
			return c, false
		}
		confidence *= best
	}
	c = spelled{s.at, rune(n), confidence}
	cr := s.cr
	s.cr = n == '\r'
	switch {
	case n == '\r':
		c.char = '\n'
	case n == '\n' && cr, n < ' ' && n != '\n', n == 127:
		return c, false
	}
	return c, true
}

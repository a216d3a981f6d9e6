package psk

import "math"

// mostPair is the length of two codes with a separator of which one bit was read wrong.
const mostPair = 2*mostBits + 2

// speller makes characters of bits.
type speller struct {
	bits    [mostPair]bool    // of the code
	sure    [mostPair]float64 // probabilities that they are right
	length  int
	at      int64   // of the first bit
	zero    bool    // the last bit was a 0,
	zeroed  float64 // with this probability,
	ended   float64 // both of the last, with this,
	started float64 // and those before the code, with this
	lost    bool    // the code is longer than any two
	cr      bool
	out     [2]spelled
}

// spelled is a character.
type spelled struct {
	at         int64
	char       rune
	confidence float64
}

// bit takes the log-likelihood ratio for 1 of a bit, and the number of its symbol. What it gives is good until the next call.
func (s *speller) bit(ratio float64, at int64) []spelled {
	sure := 1 / (1 + math.Exp(-math.Abs(ratio)))
	if ratio > 0 {
		if s.zero && s.length > 0 {
			s.put(false, s.zeroed)
		}
		s.zero = false
		if s.length == 0 {
			s.at = at
			s.started = s.ended
			s.ended = 0.5 // until there are zeros again
		}
		s.put(true, sure)
		return nil
	}
	if !s.zero {
		s.zero, s.zeroed = true, sure
		return nil
	}
	out := s.out[:0]
	if s.length > 0 && !s.lost {
		out = s.read(out, s.zeroed*sure)
	}
	s.length, s.lost = 0, false
	s.ended = s.zeroed * sure
	s.zeroed = sure
	return out
}

func (s *speller) put(bit bool, sure float64) {
	if s.length == len(s.sure) {
		s.lost = true
		return
	}
	s.bits[s.length], s.sure[s.length] = bit, sure
	s.length++
}

// read appends the character of the code, ended being the probability of the separator behind it. If the code is none, the bit that is
// the least sure is wrong of those that make one or two of it.
func (s *speller) read(out []spelled, ended float64) []spelled {
	if n := s.code(0, s.length); n >= 0 {
		return s.add(out, n, 0, s.length, s.started*ended)
	}
	wrong, left, right, odds := -1, 0, 0, 0.0 // the second code begins at right
	for i, p := range s.sure[:s.length] {
		if (1-p)/p <= odds {
			continue
		}
		s.bits[i] = !s.bits[i]
		if s.code(0, s.length) >= 0 {
			wrong, left, right, odds = i, s.length, s.length, (1-p)/p
		}
		for gap := max(i-1, 0); gap <= i; gap++ { // 00 begins here
			if gap+2 < s.length && !s.bits[gap] && !s.bits[gap+1] && s.code(0, gap) >= 0 && s.code(gap+2, s.length) >= 0 {
				wrong, left, right, odds = i, gap, gap+2, (1-p)/p
			}
		}
		s.bits[i] = !s.bits[i]
	}
	if wrong < 0 {
		return out
	}
	s.bits[wrong] = !s.bits[wrong]
	out = s.add(out, s.code(0, left), 0, left, s.started*odds)
	if right < s.length {
		out = s.add(out, s.code(right, s.length), right, s.length, ended*odds)
	}
	return out
}

// code is the character of some of the bits, -1 if there is none, or one that controls a terminal: those are hardly ever sent.
func (s *speller) code(from, to int) rune {
	if to <= from || to-from > mostBits {
		return -1
	}
	n := 0
	for _, bit := range s.bits[from:to] {
		n <<= 1
		if bit {
			n |= 1
		}
	}
	if r := rune(characters[n]); r >= ' ' && r < 127 || r == '\r' || r == '\n' {
		return r
	}
	return -1
}

// add appends a character of some of the bits; CR, LF and both together are a new line.
func (s *speller) add(out []spelled, n rune, from, to int, confidence float64) []spelled {
	for _, p := range s.sure[from:to] {
		confidence *= p
	}
	cr := s.cr
	s.cr = n == '\r'
	switch {
	case n == '\r':
		n = '\n'
	case n == '\n' && cr:
		return out
	}
	return append(out, spelled{s.at + int64(from), n, min(confidence, 1)})
}

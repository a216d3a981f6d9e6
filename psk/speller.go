package psk

import (
	"math"
	"unicode/utf8"
)

// mostPair is the length of two codes with a separator of which one bit was read wrong.
const mostPair = 2*mostBits + 2

// rare is the share of bytes above 127 in text, over that which their codes are made for: a code of n bits and its separator have the
// probability 2^-(n+2), which is 1.6 % for all of those.
const rare = 0.01

// speller makes bytes of bits.
type speller struct {
	charset *Charset
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

// spelled is a byte.
type spelled struct {
	at         int64
	char       byte
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

// read appends the byte of the code, ended being the probability of the separator behind it. If the code is none, the bit that is
// the least sure is wrong of those that make one or two of it; so too if that is likelier than a rare byte.
func (s *speller) read(out []spelled, ended float64) []spelled {
	whole := s.weight(0, s.length)
	if whole == 1 {
		return s.add(out, 0, s.length, s.started*ended)
	}
	wrong, left, right, odds, best := -1, s.length, s.length, 1.0, whole // the second code begins at right
	for i, p := range s.sure[:s.length] {
		if (1-p)/p <= best {
			continue
		}
		s.bits[i] = !s.bits[i]
		if o := (1 - p) / p * s.weight(0, s.length); o > best {
			wrong, left, right, odds, best = i, s.length, s.length, (1-p)/p, o
		}
		for gap := max(i-1, 0); gap <= i; gap++ { // 00 begins here
			if gap+2 >= s.length || s.bits[gap] || s.bits[gap+1] {
				continue
			}
			if o := (1 - p) / p * s.weight(0, gap) * s.weight(gap+2, s.length); o > best {
				wrong, left, right, odds, best = i, gap, gap+2, (1-p)/p, o
			}
		}
		s.bits[i] = !s.bits[i]
	}
	if best == 0 {
		return out
	}
	if wrong >= 0 {
		s.bits[wrong] = !s.bits[wrong]
	}
	if right == s.length {
		return s.add(out, 0, s.length, s.started*ended*odds)
	}
	out = s.add(out, 0, left, s.started*odds)
	return s.add(out, right, s.length, ended*odds)
}

// code is the byte of some of the bits, -1 if there is none.
func (s *speller) code(from, to int) int {
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
	return int(characters[n])
}

// weight is how usual what some of the bits are is, from 0 to 1; 0: they are nothing, or a control, which are hardly ever sent.
func (s *speller) weight(from, to int) float64 {
	switch n := s.code(from, to); {
	case n < 0 || !s.charset.prints(byte(n)):
		return 0
	case n >= utf8.RuneSelf:
		return rare
	}
	return 1
}

// add appends the byte of some of the bits; CR, LF and both together are a new line.
func (s *speller) add(out []spelled, from, to int, confidence float64) []spelled {
	for _, p := range s.sure[from:to] {
		confidence *= p
	}
	n, cr := byte(s.code(from, to)), s.cr
	s.cr = n == '\r'
	switch {
	case n == '\r':
		n = '\n'
	case n == '\n' && cr:
		return out
	}
	return append(out, spelled{s.at + int64(from), n, min(confidence, 1)})
}

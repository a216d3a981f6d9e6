package dsc

import "math/bits"

// Symbol is what a character of the code means, 0 to 127: two digits, or one of the standard's symbols.
type Symbol uint8

// symbols there are.
const symbols = 128

// Units are the elements of a character.
const Units = 10

// infoUnits of them carry the symbol, lowest bit first; the others count the B among them, highest bit first (ITU-R M.493).
const infoUnits = 7

// Code is a character as it is sent, the first element in bit 0: 1 is Y, the lower tone, and 0 is B.
type Code uint16

// Code is that of a symbol.
func (s Symbol) Code() Code {
	c := Code(s)
	b := infoUnits - bits.OnesCount8(uint8(s))
	for i := range Units - infoUnits {
		c |= Code(b>>(Units-infoUnits-1-i)&1) << (infoUnits + i)
	}
	return c
}

// Symbol is what a code means; false: its elements do not fit its count.
func (c Code) Symbol() (Symbol, bool) {
	s := Symbol(c & (1<<infoUnits - 1))
	return s, s.Code() == c
}

// String is the code in letters, as the standard's table has it.
func (c Code) String() string {
	var b [Units]byte
	for i := range b {
		b[i] = "BY"[c>>i&1]
	}
	return string(b[:])
}

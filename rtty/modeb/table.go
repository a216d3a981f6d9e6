package modeb

import (
	"fmt"
	"math/bits"
)

// Code is a character of the seven-unit code (ITU-R M.476-5, table 1; patterns from memory, and equal to a published table): bit 0
// is the element that is sent first, 1 is B.
type Code uint8

// Units is the number of elements of a character.
const Units = 7

// Characters that do not print.
const (
	Alpha        Code = 0b0001111 // idle signal α, phasing signal 1
	Beta         Code = 0b0110011 // idle signal β
	RQ           Code = 0b1100110 // signal repetition, phasing signal 2
	CR           Code = 0b1111000
	LF           Code = 0b1101100
	LettersShift Code = 0b1011010
	FiguresShift Code = 0b0110110
	Space        Code = 0b1011100
	Blank        Code = 0b1101010 // unperforated tape
)

// What controls in figures are shown as, and characters that are left to national choice.
const (
	Bell     = '␇'
	Enquiry  = '␅' // "who are you"
	National = '□'
)

// Service tells that c is one of the three service signals, which are no part of a text.
func (c Code) Service() bool { return c == Alpha || c == Beta || c == RQ }

// Legal tells that c is one of the 35 patterns with four B.
func (c Code) Legal() bool { return c < 1<<Units && bits.OnesCount8(uint8(c)) == 4 }

func (c Code) String() string {
	b := make([]byte, Units)
	for i := range b {
		b[i] = 'Y'
		if c>>i&1 == 1 {
			b[i] = 'B'
		}
	}
	return string(b)
}

// table has the codes with what they print in letters and in figures; 0 prints nothing.
var table = [35]struct {
	code             Code
	letters, figures rune
}{
	{0b1000111, 'A', '-'}, {0b1110010, 'B', '?'}, {0b0011101, 'C', ':'}, {0b1010011, 'D', Enquiry}, {0b1010110, 'E', '3'},
	{0b0011011, 'F', National}, {0b0110101, 'G', National}, {0b1101001, 'H', National}, {0b1001101, 'I', '8'}, {0b0010111, 'J', Bell},
	{0b0011110, 'K', '('}, {0b1100101, 'L', ')'}, {0b0111001, 'M', '.'}, {0b1011001, 'N', ','}, {0b1110001, 'O', '9'},
	{0b0101101, 'P', '0'}, {0b0101110, 'Q', '1'}, {0b1010101, 'R', '4'}, {0b1001011, 'S', '\''}, {0b1110100, 'T', '5'},
	{0b1001110, 'U', '7'}, {0b0111100, 'V', '='}, {0b0100111, 'W', '2'}, {0b0111010, 'X', '/'}, {0b0101011, 'Y', '6'}, {0b1100011, 'Z', '+'},
	{CR, '\r', '\r'}, {LF, '\n', '\n'}, {LettersShift, 0, 0}, {FiguresShift, 0, 0}, {Space, ' ', ' '}, {Blank, 0, 0},
	{RQ, 0, 0}, {Alpha, 0, 0}, {Beta, 0, 0},
}

// Rune is what c prints in letters or in figures; 0: nothing.
func (c Code) Rune(figures bool) rune {
	i := number[c&(1<<Units-1)]
	if i < 0 {
		return 0
	}
	if figures {
		return table[i].figures
	}
	return table[i].letters
}

// number is the place of a code in the table; -1: it is not legal.
var number = func() (n [1 << Units]int8) {
	for i := range n {
		n[i] = -1
	}
	for i, e := range table {
		n[e.code] = int8(i)
	}
	return n
}()

// Encode gives the codes of a text, with the shifts that it needs; small letters are sent as capitals, and '\n' as CR LF. Each line
// and each figure after a space begins with the shift that is in force: NAVTEX asks for extra shifts against garbling (ITU-R
// M.540-2, annex II).
func Encode(text string) ([]Code, error) {
	var codes []Code
	figures, known := false, false
	for at, r := range text {
		if r == '\n' {
			codes = append(codes, CR, LF)
			known = false
			continue
		}
		if r >= 'a' && r <= 'z' {
			r += 'A' - 'a'
		}
		code, in := Code(0), 0 // in: 1 letters, 2 figures, 3 both
		for _, e := range table {
			if e.letters == r {
				code, in = e.code, in|1
			}
			if e.figures == r {
				code, in = e.code, in|2
			}
		}
		if in == 0 {
			return nil, fmt.Errorf("mode B: the code has no %q, which is at byte %d of the text", r, at)
		}
		if in != 3 && (!known || figures != (in == 2)) {
			figures, known = in == 2, true
			shift := LettersShift
			if figures {
				shift = FiguresShift
			}
			codes = append(codes, shift)
		}
		codes = append(codes, code)
		if r == ' ' && figures {
			known = false
		}
	}
	return codes, nil
}

// Sendings puts codes into their places on the air: a number of pairs of phasing signals, alpha in the RX places or, with
// alphaFirst, in the DX places; every code twice; and idle signals at the end, of which two seconds are the standard's least (ITU-R
// M.625, from memory, as is the order of the phasing signals: both are in use).
func Sendings(codes []Code, phasing, idle int, alphaFirst bool) []Code {
	dx, rx := RQ, Alpha
	if alphaFirst {
		dx, rx = Alpha, RQ
	}
	n := phasing + len(codes) + idle
	out := make([]Code, 0, 2*n)
	first := func(i int) Code { // of pair i
		switch i -= phasing; {
		case i < 0:
			return dx
		case i < len(codes):
			return codes[i]
		}
		return Alpha
	}
	for i := range n {
		out = append(out, first(i))
		if i-late < phasing {
			out = append(out, rx)
		} else {
			out = append(out, first(i-late))
		}
	}
	return out
}

// late is by how many pairs a code comes later in the RX place: five characters, less the one that its place is later.
const late = 2

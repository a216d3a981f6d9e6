package rtty

import (
	"fmt"
	"unicode"
)

// Code is the units of a character, 1 for mark. Bit 0 is sent first.
type Code uint8

// Codes of ITA2 that print nothing, in either case (ITU-T S.1, clause 2).
const (
	Null         Code = 0b00000 // combination 32
	FiguresShift Code = 0b11011 // combination 30
	LettersShift Code = 0b11111 // combination 29
)

// Shift is the case that a printer is in.
type Shift uint8

// The shifts; a printer starts with letters.
const (
	Letters Shift = iota
	Figures
)

// What stands for a character that has no shape: Unicode's control pictures, safe to show, and a square where a code
// is left to national choice (S.1 suggests one, from memory).
const (
	Bell       = '␇'
	WhoAreYou  = '␅'
	Unassigned = '□'
)

// Alphabet gives codes a meaning.
type Alphabet uint8

// The alphabets.
const (
	// ITA2 is the International Telegraph Alphabet No. 2 (ITU-T S.1), five units.
	ITA2 Alphabet = iota
	// ITA2US has the figures case of US machines: $ ! & # ' " ; and the bell on S.
	ITA2US
	// ASCII7 is the International Alphabet No. 5 (ITU-T T.50), seven units, lowest first.
	ASCII7
	// ASCII8 has an eighth unit: sent for even parity (ITU-T V.4 for start-stop, from memory), ignored when received.
	ASCII8
)

// ITA2 in the order of its codes. 0 prints nothing.
var (
	ita2Letters   = [32]rune([]rune("\x00E\nA SIU\rDRJNFCKTZLWHYPQOBG\x00MXV\x00"))
	ita2Figures   = [32]rune([]rune("\x003\n- '87\r␅4␇,□:(5+)2□6019?□\x00./=\x00"))
	ita2USFigures = [32]rune([]rune("\x003\n- ␇87\r$4',!:(5\")2#6019?&\x00./;\x00"))
)

func (a Alphabet) String() string {
	switch a {
	case ITA2:
		return "ITA2"
	case ITA2US:
		return "ITA2 (US)"
	case ASCII7:
		return "7-unit ASCII"
	case ASCII8:
		return "8-unit ASCII"
	}
	return fmt.Sprintf("alphabet %d", uint8(a))
}

// Known says whether a is one of the alphabets above; the other methods take any other for ITA2.
func (a Alphabet) Known() bool { return a <= ASCII8 }

// Units is the number of elements of a code.
func (a Alphabet) Units() int {
	switch a {
	case ASCII7:
		return 7
	case ASCII8:
		return 8
	}
	return 5
}

// Elements is the length of a character with a stop element of the given length, both in elements.
func (a Alphabet) Elements(stop float64) float64 { return StartElements + float64(a.Units()) + stop }

// Decode says what a printer in shift s prints for c, 0 for nothing, and in which shift that leaves it. Carriage
// return and line feed are '\r' and '\n'; other controls are shown by a picture. Bits above Units are ignored.
func (a Alphabet) Decode(c Code, s Shift) (printed rune, next Shift) {
	if a.Units() > 5 {
		return decodeASCII(rune(c & 0x7f)), s
	}
	c &= 0x1f
	switch {
	case c == LettersShift:
		return 0, Letters
	case c == FiguresShift:
		return 0, Figures
	case s == Letters:
		return ita2Letters[c], s
	case a == ITA2US:
		return ita2USFigures[c], s
	}
	return ita2Figures[c], s
}

// decodeASCII: NUL and DEL are fillers (T.50, from memory) and print nothing.
func decodeASCII(r rune) rune {
	switch {
	case r == 0 || r == 0x7f:
		return 0
	case r < ' ' && r != '\r' && r != '\n':
		return '␀' + r
	}
	return r
}

// Idle is the code sent while there is nothing to send, if not steady mark: the shift that is in force, all
// the same to a printer (common practice for ITA2), or NUL.
func (a Alphabet) Idle(s Shift) Code {
	switch {
	case a.Units() > 5:
		return 0
	case s == Figures:
		return FiguresShift
	}
	return LettersShift
}

// Printer prints codes one after the other; its value is all its state.
type Printer struct {
	Alphabet       Alphabet
	UnshiftOnSpace bool // a space returns to letters, against lost shifts (common practice)
	Shift          Shift
}

// Print says what c prints, 0 for nothing.
func (p *Printer) Print(c Code) rune {
	r, next := p.Alphabet.Decode(c, p.Shift)
	if r == ' ' && p.UnshiftOnSpace {
		next = Letters
	}
	p.Shift = next
	return r
}

// place is where the alphabet has a character.
type place struct {
	code  Code
	shift Shift
	both  bool // in either shift
}

// find looks a character up that is not a shift; ok is false if the alphabet has it not.
func (a Alphabet) find(r rune) (p place, ok bool) {
	if a.Units() > 5 {
		if r > '␀' && r < '␠' {
			r -= '␀'
		}
		return place{code: a.parity(Code(r)), both: true}, r >= 0 && r <= unicode.MaxASCII
	}
	p, ok = places[a == ITA2US][r]
	return p, ok
}

func (a Alphabet) parity(c Code) Code {
	if a == ASCII8 {
		for bit := range 7 {
			c ^= c >> bit & 1 << 7
		}
	}
	return c
}

// places is ITA2 by character; the key is whether its figures are the US ones.
var places = map[bool]map[rune]place{false: invert(ITA2), true: invert(ITA2US)}

func invert(a Alphabet) map[rune]place {
	m := make(map[rune]place, 64)
	for c := Code(0); c < 32; c++ {
		letter, _ := a.Decode(c, Letters)
		figure, _ := a.Decode(c, Figures)
		if figure != 0 && figure != Unassigned {
			m[figure] = place{code: c, shift: Figures}
		}
		if letter != 0 {
			m[letter] = place{code: c, shift: Letters, both: letter == figure}
		}
		if letter >= 'A' && letter <= 'Z' {
			m[letter+'a'-'A'] = m[letter]
		}
	}
	m['\a'] = m[Bell]
	if p, ok := m[WhoAreYou]; ok {
		m['\x05'] = p
	}
	return m
}

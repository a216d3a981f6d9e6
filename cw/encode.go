package cw

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// expansions are signs sent as others: percent, per thousand, minutes and seconds by ITU-R M.1677-1, typographic forms
// of the rest by common practice.
var expansions = map[rune]string{
	'%': "0/0", '‰': "0/00", '′': "'", '″': "''",
	'’': "'", '‘': "'", '“': `"`, '”': `"`, '–': "-", '—': "-", '−': "-",
}

// Encode returns text as symbols to send. White space becomes one gap between words however much there is; at the
// beginning it is nothing. A % or ‰ after a figure is joined to it by a hyphen, 2-0/0 (ITU-R M.1677-1, from memory).
// Each symbol is the one that Lookup finds, so that Text of the result is what a receiver prints. The error names the
// first character that Morse code does not have.
func Encode(text string) ([]Symbol, error) {
	all := make([]Symbol, 0, len(text))
	figure := false // comes before
	for len(text) > 0 {
		r, size := utf8.DecodeRuneInString(text)
		expansion, expands := expansions[r]
		switch {
		case r == '<':
			inner, _, closed := strings.Cut(text[1:], ">")
			p, ok := joined(inner)
			if !closed || !ok {
				return nil, fmt.Errorf("text in Morse code: %.20q does not begin with a procedure signal such as <AS>", text)
			}
			all, size = append(all, symbol(p, inner)), len(inner)+2
		case unicode.IsSpace(r):
			if len(all) > 0 && all[len(all)-1] != Space {
				all = append(all, Space)
			}
		case expands:
			if figure && (r == '%' || r == '‰') {
				expansion = "-" + expansion
			}
			for _, e := range expansion {
				all = append(all, byPattern[byRune[e]])
			}
		default:
			p, ok := Of(r)
			if !ok {
				return nil, fmt.Errorf("text in Morse code: there is no code for %q", text[:size])
			}
			all = append(all, byPattern[p])
		}
		figure = r >= '0' && r <= '9'
		text = text[size:]
	}
	return all, nil
}

// symbol is that of the table, or a new one for letters run together that the table does not have.
func symbol(p Pattern, letters string) Symbol {
	s, ok := Lookup(p)
	if !ok {
		name := bracket(letters)
		s = Symbol{Pattern: p, Text: name, Procedure: name, Practice: true}
	}
	return s
}

// Text is what a receiver of the symbols prints.
func Text(symbols []Symbol) string {
	var b strings.Builder
	for _, s := range symbols {
		b.WriteString(s.Text)
	}
	return b.String()
}

// Dots is the length of text in dots. A gap between words at the end is counted, one between characters is not:
// 43 for "PARIS", 50 for "PARIS ".
func Dots(text string) (int, error) {
	symbols, err := Encode(text)
	n := 0
	for i, s := range symbols {
		n += s.Pattern.Dots()
		if i > 0 && s.Pattern != 0 && symbols[i-1].Pattern != 0 {
			n += CharacterGapDots
		}
	}
	return n, err
}

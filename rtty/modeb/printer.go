package modeb

import (
	"math"
	"slices"
)

// printer follows the shifts and makes lines.
type printer struct {
	figures  float64 // probability that the figures shift is in force
	returned bool    // a carriage return was printed last, perhaps in the place of a line feed
	first    bool
	lately   [6]Code // the last characters
}

// begin begins a transmission: nobody knows which shift is in force, and letters come more often.
func (p *printer) begin() { *p = printer{figures: 0.3, first: true} }

// print is the likeliest character.
func (p *printer) print(s *sending) Char {
	code, sure := s.soft.Best()
	text := 1 - s.phasing
	c := Char{Code: code, First: p.first, Confidence: sure * text, Soft: &s.soft}
	p.first = false
	if s.phasing > 0.5 {
		c.Code, c.Confidence = Alpha, s.phasing
	}
	if !p.repeats(code) {
		letters, figures := (1-p.figures)*s.soft.by(0), p.figures*s.soft.by(1)
		p.figures += text * (figures/(letters+figures) - p.figures)
	}
	up, down := math.Exp(s.soft.Of(FiguresShift))*text, math.Exp(s.soft.Of(LettersShift))*text
	p.figures = up + p.figures*(1-up-down)
	c.Figures = p.figures > 0.5
	c.Rune = c.Code.Rune(c.Figures)
	if code.Rune(false) != code.Rune(true) {
		c.Confidence *= max(p.figures, 1-p.figures)
	}
	returned := p.returned
	p.returned = c.Code == CR
	switch {
	case c.Code == CR:
		c.Rune = '\n'
	case c.Code == LF && returned: // the line is new already
		c.Rune = 0
	}
	return c
}

// repeats says that a code is among the last ones, and notes it: what is sent again and again tells of its shift but once.
func (p *printer) repeats(c Code) bool {
	is := slices.Contains(p.lately[:], c)
	copy(p.lately[1:], p.lately[:])
	p.lately[0] = c
	return is
}

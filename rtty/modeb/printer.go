package modeb

import "math"

// printer follows the shifts and makes lines.
type printer struct {
	figures  float64 // probability that the figures shift is in force
	returned bool    // a carriage return was printed last, perhaps in the place of a line feed
	first    bool
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

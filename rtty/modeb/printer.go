package modeb

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
	best := 0
	for i, l := range s.likely {
		if l > s.likely[best] {
			best = i
		}
	}
	c := Char{Code: table[best].code, First: p.first, Confidence: s.likely[best] * (1 - s.phasing), Likely: &s.likely}
	p.first = false
	if s.phasing > 0.5 {
		c.Code, c.Confidence = Alpha, s.phasing
	}
	up, down := s.likely[number[FiguresShift]]*(1-s.phasing), s.likely[number[LettersShift]]*(1-s.phasing)
	p.figures = up + p.figures*(1-up-down)
	c.Figures = p.figures > 0.5
	c.Rune = c.Code.Rune(c.Figures)
	if e := table[best]; e.letters != e.figures {
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

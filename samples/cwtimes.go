package samples

import (
	"math"

	"ionoscribe/cw"
)

// cwMark is a time for which the key is down, in seconds from the first sample.
type cwMark struct {
	down, up float64
	symbol   int  // it is an element of
	last     bool // element of the symbol
}

// cwSchedule says when the key is down; each time the same.
type cwSchedule struct {
	cfg     *CWConfig
	symbols []cw.Symbol
	hand    cwHand
	timing  cw.Timing
	steps   []CWSpeed // that are to come
	symbol  int
	element int
	at      float64 // when the next mark begins; after the last one, when the text ends
}

func newCWSchedule(c *CWConfig, symbols []cw.Symbol) cwSchedule {
	s := cwSchedule{cfg: c, symbols: symbols, hand: newCWHand(c), steps: c.Speeds, at: max(c.LeadSeconds, c.EdgeSeconds/2)}
	s.timing = s.hand.steady(c.timing(c.WPM))
	return s
}

// timing is the lengths at a speed, as a machine keeps them.
func (c *CWConfig) timing(wpm float64) cw.Timing {
	t := cw.NewTiming(wpm)
	if c.FarnsworthWPM > 0 {
		t, _ = cw.Farnsworth(wpm, wpm*c.FarnsworthWPM/c.WPM) // checked: not above 1
	}
	heavier := (c.WeightPercent/50 - 1) * t.Dot
	t.Dash = c.DashRatio * t.Dot
	t.Dot += heavier
	t.Dash += heavier
	t.Gap -= heavier
	t.CharacterGap -= heavier
	t.WordGap -= heavier
	return t
}

// next is the next mark; ok is false after the last one.
func (s *cwSchedule) next() (m cwMark, ok bool) {
	if s.symbol == len(s.symbols) {
		return m, false
	}
	s.atSpeed()
	p := s.symbols[s.symbol].Pattern
	dash := p.Dash(s.element)
	m = cwMark{down: s.at, up: s.at + s.hand.mark(&s.timing, dash), symbol: s.symbol}
	s.at = m.up
	if s.element++; s.element < p.Len() {
		s.at += s.hand.gapAfter(&s.timing, dash, p.Dash(s.element))
		return m, true
	}
	m.last = true
	s.element = 0
	if s.symbol++; s.symbol == len(s.symbols) {
		return m, true
	}
	if s.symbols[s.symbol] != cw.Space {
		s.at += s.hand.characterGap(&s.timing)
		return m, true
	}
	s.atSpeed()
	s.at += s.hand.wordGap(&s.timing)
	s.symbol++
	return m, true
}

// following is next with one more at the end that never begins.
func (s *cwSchedule) following() cwMark {
	if m, ok := s.next(); ok {
		return m
	}
	return cwMark{down: math.Inf(1), up: math.Inf(1)}
}

// atSpeed takes up the speed that is set for the present symbol.
func (s *cwSchedule) atSpeed() {
	for len(s.steps) > 0 && s.steps[0].At <= s.symbol {
		s.timing = s.hand.steady(s.cfg.timing(s.steps[0].WPM))
		s.steps = s.steps[1:]
	}
}

package samples

import (
	"math"
	"math/rand/v2"

	"ionoscribe/rtty"
)

// rttyChar is a character at its place; start is that of its start element, in elements.
type rttyChar struct {
	code  rtty.Code
	print rune
	start float64
}

// rttySchedule says when which character is sent; each time the same.
type rttySchedule struct {
	cfg     *RTTYConfig
	rng     *rand.Rand
	printer rtty.Printer
	sent    int     // codes
	idle    int64   // characters that come first
	at      float64 // elements until what comes next
}

func newRTTYSchedule(c *RTTYConfig) rttySchedule {
	s := rttySchedule{cfg: c, printer: rtty.Printer{Alphabet: c.Encoder.Alphabet}}
	s.rng = rand.New(rand.NewPCG(c.Seed, 0x72747479))
	s.wait(c.LeadSeconds)
	return s
}

// next is the next character; after the last one the schedule ends at s.at.
func (s *rttySchedule) next() (c rttyChar, ok bool) {
	switch {
	case s.idle > 0:
		s.idle--
		return s.put(s.cfg.Encoder.Alphabet.Idle(s.printer.Shift)), true
	case s.sent == len(s.cfg.Codes):
		return c, false
	}
	c = s.put(s.cfg.Codes[s.sent])
	if s.sent++; s.sent == len(s.cfg.Codes) {
		s.wait(s.cfg.TrailSeconds)
	} else if s.cfg.GapSeconds > 0 {
		s.wait(s.cfg.GapSeconds * s.rng.ExpFloat64())
	}
	return c, true
}

// following is next with one more at the end that never starts.
func (s *rttySchedule) following() rttyChar {
	if c, ok := s.next(); ok {
		return c
	}
	return rttyChar{start: math.Inf(1)}
}

func (s *rttySchedule) put(code rtty.Code) rttyChar {
	c := rttyChar{code, s.printer.Print(code), s.at}
	s.at += s.cfg.Encoder.Alphabet.Elements(s.cfg.StopElements)
	if s.cfg.StopJitter > 0 {
		s.at += s.cfg.StopJitter * s.rng.Float64()
	}
	return c
}

// wait lets time pass.
func (s *rttySchedule) wait(seconds float64) {
	elements := max(0, seconds) * s.cfg.baud()
	if s.cfg.Diddle {
		s.idle = int64(math.Round(elements / s.cfg.Encoder.Alphabet.Elements(s.cfg.StopElements)))
	} else {
		s.at += elements
	}
}

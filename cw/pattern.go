package cw

import (
	"math/bits"
	"strings"
)

// Pattern is the dots and dashes of a character, and its place in the binary tree of all patterns: 1 is the root,
// without elements, a dot leads from n to 2n, a dash to 2n+1. So .- is 0b101: a leading 1, then the elements in the
// order in which they are sent, 1 for a dash. 0 is no pattern; it stands for the gap between words.
type Pattern uint32

// MaxElements is the longest pattern, far longer than any in the table: letters run together by intent.
const MaxElements = 31

// NewPattern reads dots and dashes such as ".-"; ok is false if there is anything else, too much or nothing.
func NewPattern(elements string) (p Pattern, ok bool) {
	if elements == "" || len(elements) > MaxElements {
		return 0, false
	}
	p = 1
	for _, e := range elements {
		if e != '.' && e != '-' {
			return 0, false
		}
		p = p.Add(e == '-')
	}
	return p, true
}

// Add is the pattern with one more element, or 0 if it is too long already. Start from Pattern(1).
func (p Pattern) Add(dash bool) Pattern {
	if p>>MaxElements != 0 || p == 0 {
		return 0
	}
	p <<= 1
	if dash {
		p++
	}
	return p
}

// Len is the number of elements.
func (p Pattern) Len() int { return max(0, bits.Len32(uint32(p))-1) }

// Dash says whether element i, from 0, is a dash.
func (p Pattern) Dash(i int) bool { return p>>(p.Len()-1-i)&1 == 1 }

// join runs two patterns together; 0 if they are too long.
func (p Pattern) join(q Pattern) Pattern {
	for i := range q.Len() {
		p = p.Add(q.Dash(i))
	}
	return p
}

// Dots is the length in dots, without a gap after it; that of the gap between words is WordGapDots.
func (p Pattern) Dots() int {
	if p == 0 {
		return WordGapDots
	}
	dashes := bits.OnesCount32(uint32(p)) - 1
	n := p.Len()
	return n + dashes*(DashDots-1) + max(0, n-1)*GapDots
}

// String is dots and dashes, such as ".-".
func (p Pattern) String() string {
	var b strings.Builder
	for i := range p.Len() {
		if p.Dash(i) {
			b.WriteByte('-')
		} else {
			b.WriteByte('.')
		}
	}
	return b.String()
}

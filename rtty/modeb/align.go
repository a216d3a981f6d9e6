package modeb

import (
	"math"
	"slices"
)

const (
	// band is by how many characters two receptions of a message may be apart: slips of the decoder in fades.
	band  = 6
	width = 2*band + 1
	lnGap = -8.0 // a character that one of them has not
	// leastAgreement bounds what speaks against a pair of characters: a crash, or a text that was changed.
	leastAgreement = -3.0
	// sameLead is the evidence that makes two receptions one message: that of eight clear characters, 8 ln 35.
	sameLead = 28.0
	// otherSure is the probability of both preambles from which on different ones are of different messages.
	otherSure = 0.999
)

// same is the message that was received before and is sent again, with its alignment; nil: there is none. Number 00 always is
// a new one (ITU-R M.540-2, annex II: it always prints).
func (m *Messages) same(p preamble) (best *kept, steps []step) {
	most := sameLead
	for _, k := range m.kept {
		alike := k.alike(p)
		if p.number == 0 && p.sure > clearly || alike < 4 && p.sure > otherSure && k.sure > otherSure || alike < 2 {
			continue
		}
		if s, lead := align(k.chars, m.chars); lead > most {
			best, most, steps = k, lead, s
		}
	}
	return best, steps
}

// alike is how many of the four characters of two preambles are the same.
func (p preamble) alike(o preamble) (n int) {
	for _, same := range [...]bool{p.station == o.station, p.subject == o.subject, p.number/10 == o.number/10, p.number%10 == o.number%10} {
		if same {
			n++
		}
	}
	return n
}

// step is one of an alignment of two receptions.
type step uint8

const (
	both step = iota
	onlyA
	onlyB
)

// align is the likeliest walk through two receptions that began together (Needleman and Wunsch, within a band), and the evidence
// that they are of one message. What one of them has behind the end of the other tells nothing.
func align(a, b []Soft) (steps []step, lead float64) {
	never := math.Inf(-1)
	how := make([][width]step, len(a)+1)
	var before, row [width]float64 // by the characters of b that are behind those of a, from -band on
	endA, endB := 0, 0
	for i := range how {
		for w := range row {
			j := i + w - band
			row[w] = never
			if j < 0 || j > len(b) {
				continue
			}
			if i == 0 && j == 0 {
				row[w] = 0
			}
			if i > 0 && j > 0 {
				row[w] = before[w] + max(a[i-1].agreement(&b[j-1]), leastAgreement)
			}
			if i > 0 && w+1 < width && before[w+1]+lnGap > row[w] {
				row[w], how[i][w] = before[w+1]+lnGap, onlyA
			}
			if w > 0 && row[w-1]+lnGap > row[w] {
				row[w], how[i][w] = row[w-1]+lnGap, onlyB
			}
			if (i == len(a) || j == len(b)) && row[w] > lead {
				lead, endA, endB = row[w], i, j
			}
		}
		before = row
	}
	steps = append(steps, slices.Repeat([]step{onlyB}, len(b)-endB)...) // backwards
	steps = append(steps, slices.Repeat([]step{onlyA}, len(a)-endA)...)
	for i, j := endA, endB; i > 0 || j > 0; {
		s := how[i][j-i+band]
		steps = append(steps, s)
		if s != onlyB {
			i--
		}
		if s != onlyA {
			j--
		}
	}
	slices.Reverse(steps)
	return steps, lead
}

// ended cuts off what one of two receptions has behind the end of the other: if that one alone heard NNNN, the rest is noise.
func ended(steps []step, a, b bool) []step {
	if a == b {
		return steps
	}
	over := onlyB
	if b {
		over = onlyA
	}
	n := len(steps)
	for n > 0 && steps[n-1] == over {
		n--
	}
	return steps[:n]
}

// joined is what two receptions say together.
func joined(a, b []Soft, steps []step) []Soft {
	out := make([]Soft, 0, len(steps))
	for _, s := range steps {
		switch s {
		case both:
			a[0].join(&b[0])
			out, a, b = append(out, a[0]), a[1:], b[1:]
		case onlyA:
			out, a = append(out, a[0]), a[1:]
		case onlyB:
			out, b = append(out, b[0]), b[1:]
		}
	}
	return out
}

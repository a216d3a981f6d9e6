package modeb

import (
	"math"

	"ionoscribe/demod/fsk"
)

// Lengths in grid points of the channel.
const (
	character = Units * fsk.PerElement
	places    = 2 * character // from DX place to DX place
	lag       = 5 * character // from the first sending to the second
	spanned   = lag + character
)

// timing finds how late the elements are, in steps of the grid, while characters are received: the sender's clock and the
// receiver's differ, by 100 ppm for instance, which is a step every 13 s. It goes by how well the filters are filled by the elements
// of the characters that were decided on, since codes are as likely as can be long before the filters are full.
type timing struct {
	fill [3]float64 // of late: one step early, in time, one late
}

const (
	timingMemory = 0.95 // from pair to pair: some twenty, 3 s
	timingLead   = 1.02 // by which another step must be better, lest noise moves it to and fro
)

// step takes how the filters are filled in three steps and says by how many grid points to move.
func (t *timing) step(now [3]float64) int64 {
	best := 1
	for i, e := range now {
		t.fill[i] = timingMemory*t.fill[i] + e
	}
	for i, e := range t.fill {
		if e > timingLead*t.fill[1] && e > t.fill[best] {
			best = i
		}
	}
	switch best {
	case 0:
		t.fill = [3]float64{t.fill[0], t.fill[0], t.fill[1]}
	case 2:
		t.fill = [3]float64{t.fill[1], t.fill[2], t.fill[2]}
	}
	return int64(best - 1)
}

// sending is a character of which both sendings were heard.
type sending struct {
	at       int64   // grid point at which the first begins
	soft     Soft    // if it is none of a phasing pair
	phasing  float64 // probability that it is a pair of phasing signals
	evidence float64
}

// receiver joins both sendings of each character.
type receiver struct {
	channel  fsk.Channel
	inverted bool
	next     int64 // grid point of the next DX place
	timing   timing
	b        [Units]float32
	dx, rx   likelihood
}

// begin goes on at a DX place.
func (r *receiver) begin(at int64, inverted bool) {
	r.next, r.inverted, r.timing = at, inverted, timing{}
}

// take gives the next character that is ready.
func (r *receiver) take(f *fsk.Front) (s sending, ok bool) {
	if r.next+spanned+fsk.PerElement >= r.channel.Done() {
		return s, false
	}
	r.hear(&r.dx, r.next, f)
	r.hear(&r.rx, r.next+lag, f)
	s.at, s.evidence = r.next, evidence(&r.dx, &r.rx)
	s.phasing = float64(r.dx[alphaNumber]*r.rx[rqNumber] + r.dx[rqNumber]*r.rx[alphaNumber])
	sum := s.phasing
	for i := range s.soft {
		p := float64(r.dx[i]) * float64(r.rx[i])
		s.soft[i] = float32(math.Log(p + 1e-30))
		sum += p
	}
	s.soft.normalise()
	s.phasing /= sum + 1e-30
	r.channel.Fading(r.next, character)
	r.next += places + r.timing.step(r.fills())
	return s, true
}

// fills is how well the filters are filled by the elements of a pair one step early, in time, and one late.
func (r *receiver) fills() (fill [3]float64) {
	for _, c := range []struct {
		at     int64
		likely *likelihood
	}{{r.next, &r.dx}, {r.next + lag, &r.rx}} {
		code := table[best(c.likely)].code
		for i := range int64(Units) {
			sign := 1.0
			if (code>>i&1 == 1) == r.inverted {
				sign = -1
			}
			for k := range fill {
				g := (c.at + i*fsk.PerElement + int64(k) - 1) & fsk.GridMask
				fill[k] += sign * float64(r.channel.Likely[fsk.Mark][g]-r.channel.Likely[fsk.Space][g])
			}
		}
	}
	return fill
}

// best is the number of the likeliest code.
func best(l *likelihood) (best int) {
	for i, p := range l {
		if p > l[best] {
			best = i
		}
	}
	return best
}

// hear reckons with the character that begins at a grid point.
func (r *receiver) hear(l *likelihood, at int64, f *fsk.Front) {
	for i := range r.b {
		g := at + int64(i)*fsk.PerElement
		r.b[i] = r.probability(r.channel.Ratio(g, r.channel.Excess(f, g)))
	}
	l.of(&r.b)
}

// probability of B by the log-likelihood ratio of the first tone, which is the higher one.
func (r *receiver) probability(ratio float64) float32 {
	if r.inverted {
		ratio = -ratio
	}
	return fsk.Logistic(float32(ratio))
}

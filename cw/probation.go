package cw

import (
	"math"
	"slices"
)

// twin says whether a signal is one tone of a pair of which one sounds while the other does not: frequency-shift keying,
// such as a teleprinter's, and no Morse. The powers of two tones that have nothing to do with each other do not
// correlate; those of a pair do, by nearly -1.
func (b *band) twin(t *track) bool {
	for _, p := range b.spectrum.peaks {
		apart := math.Abs(p.hz - t.channel.hz)
		if apart < twinNearest || apart > twinFurthest || p.power < twinPower*b.spectrum.at(t.channel.hz) {
			continue
		}
		b.other.reset(p.hz)
		b.other.follows = false
		since := max(t.origin, b.end-historyHops*hop)
		for at := since; at < b.end; at += hop {
			i := at & (historyLength - 1)
			b.other.add(b.history[i : i+hop])
		}
		if correlation(&t.channel.out, &b.other.out, float64(since-t.origin)/decimation) < twinCorrelation {
			b.rejectAround((p.hz+t.channel.hz)/2, apart/2+twinSides)
			return true
		}
	}
	return false
}

const (
	twinNearest, twinFurthest = 60.0, 1000.0 // Hz
	twinSides                 = 120.0        // Hz on either side that its sidebands take
	twinPower                 = 0.15
	twinCorrelation           = -0.4
	twinCell                  = 10.0 // base samples, 20 ms
)

// correlation is that of the powers of two signals; the second begins late base samples after the first.
func correlation(x, y *series, late float64) float64 {
	var n, sx, sy, sxx, syy, sxy float64
	for at := max(y.first(), x.first()-late); at+twinCell < float64(y.end) && at+late+twinCell < float64(x.end); at += twinCell {
		a := math.Sqrt(norm(x.at(at+late+twinCell) - x.at(at+late)))
		c := math.Sqrt(norm(y.at(at+twinCell) - y.at(at)))
		n++
		sx, sy, sxx, syy, sxy = sx+a, sy+c, sxx+a*a, syy+c*c, sxy+a*c
	}
	v := (sxx - sx*sx/n) * (syy - sy*sy/n)
	if !(v > 0) {
		return 0
	}
	return (sxy - sx*sy/n) / math.Sqrt(v)
}

// probation holds back the first characters until they look like text: speech and music make single short characters
// with pauses between.
type probation struct {
	passed            bool
	held              []Char
	chars, gaps, rare int     // of those held: characters, gaps between words, and rare signs
	sure              float64 // sum of their confidences
	short             float64 // of the last words, the share of those with one character
}

const (
	probationChars = 7
	fewestChars    = 3 // if nothing more comes
	leastMean      = 0.75
	mostShort      = 0.5
	shortMemory    = 0.12
	mostRare       = 0.3 // of the characters, signs that are common practice alone
)

func (p *probation) reset() { *p = probation{held: p.held[:0], short: 0.2} }

// hold takes a character.
func (p *probation) hold(c Char) {
	p.held = append(p.held, c)
	if c.Pattern == 0 {
		p.gaps++
		return
	}
	p.chars++
	if c.Practice {
		p.rare++
	}
	p.sure += c.Confidence
}

// text says whether what is held looks like text.
func (p *probation) text() bool {
	return p.sure >= leastMean*float64(p.chars) && float64(p.chars) >= 2*float64(p.gaps+1) && float64(p.rare) <= mostRare*float64(p.chars)
}

// spacing is the usual gap between the characters that are held, in samples of the audio, if nearly all of them were
// taken for words; otherwise 0.
func (p *probation) spacing() float64 {
	if float64(p.gaps) < mostSingle*float64(p.chars) {
		return 0
	}
	var gaps [4 * probationChars]float64
	n, last := 0, int64(-1)
	for _, c := range p.held {
		if c.Pattern == 0 {
			continue
		}
		if last >= 0 && n < len(gaps) {
			gaps[n] = float64(c.At - last)
			n++
		}
		last = c.End
	}
	if n == 0 {
		return 0
	}
	slices.Sort(gaps[:n])
	return gaps[n*2/5] // five of six are between characters
}

const (
	mostSingle  = 0.6
	wideSpacing = 1.3 // over the gap between characters that was reckoned with
)

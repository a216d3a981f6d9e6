package rtty

import (
	"math"

	"ionoscribe/demod/fsk"
)

// pendingFrames is how many characters the shift of one is decided later, and doubtfulFrames if it is in doubt: after a
// place where a shift may have been missed, a word or two of what follows tell.
const (
	pendingFrames  = 5
	doubtfulFrames = 14
)

// received is a character with what is known of it.
type received struct {
	at     float64     // wide samples
	end    float64     // where its stop element ends at the earliest
	units  [8]float32  // log-likelihood ratios for mark
	likely [32]float64 // of each code of five units, the best being 1
	best   Code        // of five units
	place  standing    // where it stands in the text
	missed [2]float64  // likelihood of a letters and of a figures shift before it that was not seen, against none
	trust  float64     // that it is a character at all
	proof  float64     // evidence for it and what follows, until that was enough
}

// speller turns codes into text. Of five-unit codes it keeps the probability of being in letters or figures: a hidden
// Markov model. The case changes by a shift alone. One that was damaged leaves a place where it may have been: a
// character whose units are doubtful, or a gap with room for one that is not clearly mark. There, and where a
// transmission begins, what follows tells the case; where all is clear nothing else may, however well it would read.
//
// Probabilities of codes tell kinds of characters apart, not letters from letters: nothing is known of the language.
// While the case is in doubt, what a code says of it is said once: a code drawn from Pólya's urn is returned with
// another of its kind, so that it is no news in either case when it comes again.
type speller struct {
	alphabet Alphabet
	unshift  bool
	prior    [countPlaces][2][32]float64 // by place and case
	next     [2][32]Shift
	rune     [2][32]rune

	doubt   doubt // before the first pending character
	pending []received
	place   standing // of the next character
	before  Code     // that of the last character
	shifted bool     // the last code was a shift
	line    int      // what has come of a new line
}

// standing says where a character stands, by which shifts are more or less likely.
type standing uint8

const (
	inWord  standing = iota
	atWord           // where a word may begin
	atStart          // of a transmission
	inIdle           // after a shift that was sent again
	countPlaces
)

// doubt is what is known of the case at a character.
type doubt struct {
	in   [2]float64 // probability of either
	seen seen       // since the less likely way came from the other, in the mean
}

// seen counts codes.
type seen [32]float64

// Probabilities of codes by case, common sense: a shift or a new line comes every few dozen characters, a shift mostly
// before a word; punctuation is rarer than digits, and what has no meaning is next to never sent.
const (
	pSpace     = 0.16
	pNewLine   = 0.012 // carriage return, line feed
	pShift     = 0.01  // to the other case, or the same again, within a word
	pUnshift   = 0.03  // from figures to letters
	pWordShift = 0.1   // to the other case between words
	// pFirstShift: a transmission begins with a shift, unless it is joined.
	pFirstShift = 0.5
	pIdle       = 0.8  // idle with shifts goes on
	pFigure     = 0.07 // a digit, before all is made to be 1
	pSign       = 0.01 // punctuation
	pSenseless  = 0.0005

	// pFirst is the probability that a transmission that is joined, not heard from its first shift on, is in figures.
	pFirst = 0.1
	// clearly is the likelihood below which what a character might be instead is nothing: less would be overcome by
	// text that happens to make sense in the other case.
	clearly = 1e-6
	// urnCodes is how many codes are in the urn at first.
	urnCodes = 8
)

func (s *speller) begin(a Alphabet, unshift bool) {
	pending := s.pending[:0]
	if pending == nil {
		pending = make([]received, 0, doubtfulFrames+2)
	}
	*s = speller{alphabet: a, unshift: unshift, pending: pending, place: atStart, doubt: doubt{in: [2]float64{1 - pFirst, pFirst}}}
	if a.Units() != 5 {
		return
	}
	for shift := range s.next {
		for c := range s.next[shift] {
			p := Printer{Alphabet: a, UnshiftOnSpace: unshift, Shift: Shift(shift)}
			s.rune[shift][c] = p.Print(Code(c))
			s.next[shift][c] = p.Shift
		}
		for at := range s.prior {
			prior, sum := &s.prior[at][shift], 0.0
			for c := range prior {
				prior[c] = priorOf(Code(c), s.rune[shift][c], Shift(shift), standing(at))
				sum += prior[c]
			}
			for c := range prior {
				prior[c] /= sum
			}
		}
	}
}

func priorOf(c Code, r rune, s Shift, at standing) float64 {
	switch {
	case at == atStart && (c == LettersShift || c == FiguresShift):
		return pFirstShift
	case at == inIdle && (c == LettersShift && s == Letters || c == FiguresShift && s == Figures):
		return pIdle / (1 - pIdle) // the others have 1 in all
	case (at == atWord || at == inIdle) && (c == LettersShift && s == Figures || c == FiguresShift && s == Letters):
		return pWordShift
	case c == LettersShift && s == Figures:
		return pUnshift
	case c == LettersShift || c == FiguresShift:
		return pShift
	case r == '\r' || r == '\n':
		return pNewLine
	case r == ' ':
		return pSpace
	case r >= 'A' && r <= 'Z':
		return (1 - pSpace - 2*pNewLine - 2*pShift) / 26
	case r >= '0' && r <= '9':
		return pFigure
	case r == 0 || r == Bell || r == WhoAreYou || r == Unassigned:
		return pSenseless
	}
	return pSign
}

// cased says whether a code prints something else in letters than in figures.
func (s *speller) cased(c int) bool { return s.rune[Letters][c] != s.rune[Figures][c] }

// chance is the probability of a code in a case, if it was seen so often before.
func (s *speller) chance(r *received, shift, c int, seen float64) float64 {
	prior := &s.prior[r.place]
	p := prior[shift][c]
	if seen == 0 || !s.cased(c) {
		return p
	}
	mean := (prior[Letters][c] + prior[Figures][c]) / 2
	return mean * (urnCodes*p + seen) / (urnCodes*mean + seen)
}

// add takes a character.
func (s *speller) add(r received) {
	if s.alphabet.Units() == 5 {
		most := math.Inf(-1)
		for c := range r.likely {
			sum := 0.0
			for i := range 5 {
				if c>>i&1 == 1 {
					sum += float64(r.units[i])
				}
			}
			r.likely[c] = sum
			if sum > most {
				most, r.best = sum, Code(c)
			}
		}
		for c := range r.likely {
			if r.likely[c] = math.Exp(r.likely[c] - most); r.likely[c] < clearly {
				r.likely[c] = 0
			}
		}
	}
	r.place = s.place
	again := r.best == s.before && (r.best == LettersShift || r.best == FiguresShift)
	s.before = r.best
	switch letter := s.rune[Letters][r.best]; {
	case again:
		s.place = inIdle
	case letter == ' ' || letter == '\r' || letter == '\n':
		s.place = atWord
	case letter != 0: // a shift does not begin the word
		s.place = inWord
	case s.place == atStart || s.place == inIdle:
		s.place = atWord
	}
	s.pending = append(s.pending, r)
}

// ready says whether the first pending character can be decided: enough is known of what follows it.
func (s *speller) ready() bool {
	if len(s.pending) > doubtfulFrames {
		return true
	}
	return len(s.pending) > pendingFrames && !s.doubtful()
}

// doubtful says whether the case of the first pending character is in doubt, or may come to be with it.
func (s *speller) doubtful() bool {
	if s.alphabet.Units() != 5 || len(s.pending) == 0 {
		return false
	}
	const least = 0.001
	if min(s.doubt.in[Letters], s.doubt.in[Figures]) > least {
		return true
	}
	r := &s.pending[0]
	return r.missed[Letters]+r.missed[Figures] > least ||
		r.best != LettersShift && r.best != FiguresShift && r.likely[LettersShift]+r.likely[FiguresShift] > least
}

// spelt is a code as it is decided.
type spelt struct {
	code       Code
	rune       rune // 0: nothing printed
	shift      Shift
	shifted    bool // after a shift
	confidence float64
}

// first decides the first pending character and forgets it.
func (s *speller) first() (received, spelt) {
	r := s.pending[0]
	var out spelt
	if s.alphabet.Units() == 5 {
		out = s.five(&r)
	} else {
		out = s.plain(&r)
	}
	out.confidence *= r.trust
	out.shifted = s.shifted
	s.shifted = s.alphabet.Units() == 5 && (out.code == LettersShift || out.code == FiguresShift)
	out.rune = s.cleanLine(out.rune)
	s.pending = s.pending[:copy(s.pending, s.pending[1:])]
	return r, out
}

func (s *speller) plain(r *received) (out spelt) {
	out.confidence = 1
	for i := range s.alphabet.Units() {
		if r.units[i] > 0 {
			out.code |= 1 << i
		}
		out.confidence *= float64(fsk.Logistic(max(r.units[i], -r.units[i])))
	}
	out.rune, _ = s.alphabet.Decode(out.code, Letters)
	return out
}

func (s *speller) five(r *received) (out spelt) {
	var at [doubtfulFrames + 2]doubt
	at[0] = s.doubt
	for k := range s.pending {
		at[k+1] = s.after(&at[k], &s.pending[k])
	}
	// later is what the later characters say of either shift.
	later := [2]float64{0.5, 0.5}
	for k := len(s.pending) - 1; k > 0; k-- {
		now := s.sum(&s.pending[k], &at[k].seen, &later)
		all := now[0] + now[1]
		later = [2]float64{now[0] / all, now[1] / all}
	}
	in := s.missed(r, s.doubt.in)
	most, total := -1.0, 0.0
	bestShift := 0
	for shift := range s.next {
		for c, likely := range r.likely {
			if likely == 0 || in[shift] == 0 {
				continue
			}
			v := in[shift] * likely * s.chance(r, shift, c, s.doubt.seen[c]) * later[s.next[shift][c]]
			total += v
			if v > most {
				most, bestShift, out.code = v, shift, Code(c)
			}
		}
	}
	out.rune, out.shift = s.rune[bestShift][out.code], Shift(bestShift)
	// What prints the same in either case is right in either.
	same := 0.0
	for shift := range s.next {
		if c := int(out.code); s.rune[shift][c] == out.rune {
			same += in[shift] * s.chance(r, shift, c, s.doubt.seen[c]) * r.likely[c] * later[s.next[shift][c]]
		}
	}
	out.confidence = same / total
	s.doubt = at[1]
	return out
}

// after is what is known of the case behind a character.
func (s *speller) after(d *doubt, r *received) (to doubt) {
	in := s.missed(r, d.in)
	toFigures, toLetters := s.toOther(r)
	stays := [2]float64{d.in[Letters] * (1 - toFigures), d.in[Figures] * (1 - toLetters)}
	var stayed [2]float64
	for shift := range s.next {
		if in[shift] == 0 {
			continue
		}
		for c, likely := range r.likely {
			if likely == 0 {
				continue
			}
			joint := likely * s.chance(r, shift, c, d.seen[c])
			next := s.next[shift][c]
			to.in[next] += in[shift] * joint
			if int(next) == shift {
				stayed[shift] += stays[shift] * joint
			}
		}
	}
	less := Letters
	if to.in[Figures] < to.in[Letters] {
		less = Figures
	}
	all := to.in[0] + to.in[1]
	share := stayed[less] / max(to.in[less], 1e-300)
	for k := range to.in {
		if to.in[k] /= all; to.in[k] < clearly {
			to.in[k] = 0
		}
	}
	if to.in[less] == 0 {
		return to
	}
	for c, n := range d.seen {
		to.seen[c] = n * share
	}
	to.seen[r.best]++
	return to
}

// missed is the probability of either shift before a character, with what may have been missed before that.
func (s *speller) missed(r *received, in [2]float64) [2]float64 {
	toFigures, toLetters := s.toOther(r)
	return [2]float64{
		in[Letters]*(1-toFigures) + in[Figures]*toLetters,
		in[Figures]*(1-toLetters) + in[Letters]*toFigures,
	}
}

// toOther is the probability of having missed a shift before a character.
func (s *speller) toOther(r *received) (toFigures, toLetters float64) {
	other := func(shift Shift, c Code, likely float64) float64 {
		odds := s.chance(r, int(shift), int(c), 0) * likely
		return min(odds/(1+odds), 0.5)
	}
	return other(Letters, FiguresShift, r.missed[Figures]), other(Figures, LettersShift, r.missed[Letters])
}

// sum is the likelihood of a pending character, and of all behind it, in either shift.
func (s *speller) sum(p *received, before *seen, later *[2]float64) (sum [2]float64) {
	var now [2]float64
	for shift := range s.next {
		for c, likely := range p.likely {
			if likely > 0 {
				now[shift] += s.chance(p, shift, c, before[c]) * likely * later[s.next[shift][c]]
			}
		}
	}
	toFigures, toLetters := s.toOther(p)
	return [2]float64{
		now[Letters]*(1-toFigures) + now[Figures]*toFigures,
		now[Figures]*(1-toLetters) + now[Letters]*toLetters,
	}
}

// cleanLine makes one new line of a carriage return and a line feed, in either order and with returns more than one;
// a further line feed is a further line.
func (s *speller) cleanLine(r rune) rune {
	switch r {
	case 0:
		return 0
	case '\r':
		s.line |= 1
		if s.line == 1 {
			s.line |= 4 // a line given on credit
			return '\n'
		}
		return 0
	case '\n':
		if s.line&4 != 0 {
			s.line = 2
			return 0
		}
		s.line = 2
		return '\n'
	}
	s.line = 0
	return r
}

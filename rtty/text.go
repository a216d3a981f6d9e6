package rtty

import "math"

// pendingFrames is how many characters the shift of one is decided later: a letter that could not follow a figures
// shift costs it some 3 nats, so four of them outweigh one element that was hit.
const pendingFrames = 5

// received is a character with what is known of it.
type received struct {
	at     float64     // wide samples
	end    float64     // where its stop element ends at the earliest
	units  [8]float32  // log-likelihood ratios for mark
	likely [32]float64 // of each code of five units, the best being 1
	trust  float64     // that it is a character at all
	proof  float64     // evidence for it and what follows, until that was enough
}

// speller turns codes into text. Of five-unit codes it keeps the probability of being in letters or figures, and
// looks some characters ahead: a figures shift before what makes no sense in figures is an error of reception.
// Probabilities of codes tell kinds of characters apart, not letters from letters: nothing is known of the language.
type speller struct {
	alphabet Alphabet
	unshift  bool
	prior    [2][32]float64
	next     [2][32]Shift
	rune     [2][32]rune

	in      [2]float64 // probability of either shift before the first pending character
	pending []received
	shifted bool // the last code was a shift
	line    int  // what has come of a new line
}

// Probabilities of codes by case, common sense: a shift or a new line comes every few dozen characters, punctuation
// is rarer than digits, and what has no meaning is next to never sent.
const (
	pSpace     = 0.16
	pNewLine   = 0.012 // carriage return, line feed
	pShift     = 0.02  // to the other case, or the same again
	pUnshift   = 0.08  // from figures to letters
	pFigure    = 0.035 // a digit
	pSign      = 0.012 // punctuation
	pSenseless = 0.0005
	pLost      = 0.0003 // a figures shift was lost
	pRelapse   = 0.003  // a letters shift was lost, or is not sent after a space
)

func (s *speller) begin(a Alphabet, unshift bool) {
	pending := s.pending[:0]
	if pending == nil {
		pending = make([]received, 0, pendingFrames+1)
	}
	*s = speller{alphabet: a, unshift: unshift, pending: pending, in: [2]float64{0.8, 0.2}}
	if a.Units() != 5 {
		return
	}
	for shift := range s.prior {
		sum := 0.0
		for c := range s.prior[shift] {
			p := Printer{Alphabet: a, UnshiftOnSpace: unshift, Shift: Shift(shift)}
			r := p.Print(Code(c))
			s.rune[shift][c], s.next[shift][c] = r, p.Shift
			s.prior[shift][c] = prior(Code(c), r, Shift(shift))
			sum += s.prior[shift][c]
		}
		for c := range s.prior[shift] {
			s.prior[shift][c] /= sum
		}
	}
}

func prior(c Code, r rune, s Shift) float64 {
	switch {
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
			most = max(most, sum)
		}
		for c := range r.likely {
			r.likely[c] = math.Exp(r.likely[c] - most)
		}
	}
	s.pending = append(s.pending, r)
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
		out.confidence *= float64(logistic(max(r.units[i], -r.units[i])))
	}
	out.rune, _ = s.alphabet.Decode(out.code, Letters)
	return out
}

func (s *speller) five(r *received) (out spelt) {
	// later is what the later characters say of either shift.
	later := [2]float64{1, 1}
	for k := len(s.pending) - 1; k > 0; k-- {
		p := &s.pending[k]
		var now [2]float64
		for shift := range now {
			now[shift] = s.sum(p, shift, &later)
		}
		all := now[0] + now[1]
		later = [2]float64{now[0] / all, now[1] / all}
	}
	all, most, total := [2]float64{}, -1.0, 0.0
	bestShift := 0
	for shift := range s.prior {
		for c, p := range s.prior[shift] {
			joint := s.in[shift] * p * r.likely[c]
			to := s.after(shift, c)
			v := joint * (to[0]*later[0] + to[1]*later[1])
			all[0] += joint * to[0]
			all[1] += joint * to[1]
			total += v
			if v > most {
				most, bestShift, out.code = v, shift, Code(c)
			}
		}
	}
	out.rune, out.shift = s.rune[bestShift][out.code], Shift(bestShift)
	// What prints the same in either case is right in either.
	same := 0.0
	for shift := range s.prior {
		if s.rune[shift][out.code] == out.rune {
			to := s.after(shift, int(out.code))
			same += s.in[shift] * s.prior[shift][out.code] * r.likely[out.code] * (to[0]*later[0] + to[1]*later[1])
		}
	}
	out.confidence = same / total
	s.in = [2]float64{all[0] / (all[0] + all[1]), all[1] / (all[0] + all[1])}
	return out
}

// after is the probability of either shift behind a code.
func (s *speller) after(shift, c int) (to [2]float64) {
	if s.next[shift][c] == Letters {
		return [2]float64{1 - pLost, pLost}
	}
	return [2]float64{pRelapse, 1 - pRelapse}
}

// sum is the likelihood of a pending character in a shift, and of all behind it.
func (s *speller) sum(p *received, shift int, later *[2]float64) (sum float64) {
	for c, q := range s.prior[shift] {
		to := s.after(shift, c)
		sum += q * p.likely[c] * (to[0]*later[0] + to[1]*later[1])
	}
	return sum
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

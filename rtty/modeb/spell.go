package modeb

import "math"

// How much rarer than letters and digits a character is that is no part of a text, a control or one left to national choice, and
// a sign. Digits are as frequent as letters: there are words of the upper row of keys alone.
const (
	odd  = 0.05
	sign = 0.4
)

// prior is how likely a code is in letters and in figures.
var prior = func() (p [2][len(table)]float64) {
	for k, e := range table {
		p[0][k], p[1][k] = 1, 1
		switch {
		case e.code.Service():
			p[0][k], p[1][k] = odd, odd
		case e.figures == Bell || e.figures == Enquiry || e.figures == National:
			p[1][k] = odd
		case e.letters != e.figures && (e.figures < '0' || e.figures > '9'):
			p[1][k] = sign
		}
	}
	return p
}()

// by is how likely a character is in letters or in figures, whatever it is.
func (s *Soft) by(shift int) (sum float64) {
	for k, ln := range s {
		sum += math.Exp(float64(ln)) * prior[shift][k]
	}
	return sum
}

// after is the shift behind a code.
func after(shift int, c Code) int {
	switch c {
	case LettersShift:
		return 0
	case FiguresShift:
		return 1
	}
	return shift
}

// spell prints characters, which begin in letters: the shift at each is what both the characters before and those behind say
// of it (the forward-backward algorithm).
func spell(chars []Soft) []Letter {
	behind := make([][2]float64, len(chars)+1)
	behind[len(chars)] = [2]float64{1, 1}
	for i := len(chars) - 1; i >= 0; i-- {
		for shift := range 2 {
			for k, ln := range chars[i] {
				behind[i][shift] += math.Exp(float64(ln)) * prior[shift][k] * behind[i+1][after(shift, table[k].code)]
			}
		}
		all := behind[i][0] + behind[i][1]
		behind[i][0] /= all
		behind[i][1] /= all
	}
	letters := make([]Letter, 0, len(chars))
	in := [2]float64{1, 0}
	var line lineEnds
	for i := range chars {
		var joint [2][len(table)]float64
		var next [2]float64
		sum := 0.0
		for shift := range 2 {
			for k, ln := range chars[i] {
				p := in[shift] * math.Exp(float64(ln)) * prior[shift][k]
				to := after(shift, table[k].code)
				next[to] += p
				joint[shift][k] = p * behind[i+1][to]
				sum += joint[shift][k]
			}
		}
		shift, best := 0, 0
		for s := range joint {
			for k, p := range joint[s] {
				if p > joint[shift][best] {
					shift, best = s, k
				}
			}
		}
		all := next[0] + next[1]
		in = [2]float64{next[0] / all, next[1] / all}
		r := table[best].code.Rune(shift == 1)
		if shown := line.clean(r); shown != 0 {
			right := joint[shift][best]
			if other := table[best].code.Rune(shift == 0); other == r {
				right += joint[1-shift][best]
			}
			letters = append(letters, Letter{shown, right / sum})
		}
	}
	return letters
}

// lineEnds makes one '\n' of a carriage return and a line feed in either order, and of returns more than one.
type lineEnds struct{ returned, fed bool }

func (l *lineEnds) clean(r rune) rune {
	switch r {
	case 0: // a shift may stand between
		return 0
	case '\r':
		first := !l.returned && !l.fed
		l.returned = true
		if first {
			return '\n'
		}
		return 0
	case '\n':
		first := !l.returned || l.fed // a further line feed is a further line
		l.fed = true
		if first {
			return '\n'
		}
		return 0
	}
	*l = lineEnds{}
	return r
}

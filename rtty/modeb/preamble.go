package modeb

import "math"

// preamble is B1 B2 B3 B4 as it was read.
type preamble struct {
	station byte
	subject Subject
	number  int
	sure    float64 // the probability that all are right
	length  int     // characters up to the text
}

const (
	mostBefore = 4 // spaces, shifts and blanks that may stand before B1
	mostShifts = 3 // before the figures, and between them: M.540 asks for extra shifts
	// longestPreamble is the number of characters in which a preamble is looked for.
	longestPreamble = mostBefore + 2 + 2*mostShifts + 2
)

var (
	beforeCodes = []Code{Space, LettersShift, CR, LF, Blank}
	shiftCodes  = []Code{FiguresShift}
	stationCodes, subjectCodes,
	digitCodes = codesOf('A', 'X'), codesOf('A', 'Z'), digits()
)

func codesOf(first, last rune) (codes []Code) {
	for _, e := range table {
		if e.letters >= first && e.letters <= last {
			codes = append(codes, e.code)
		}
	}
	return codes
}

func digits() (codes []Code) {
	for _, e := range table {
		if e.figures >= '0' && e.figures <= '9' {
			codes = append(codes, e.code)
		}
	}
	return codes
}

// readPreamble finds the likeliest preamble at the beginning of what follows ZCZC: a walk through places, of which some may be
// left out, that explains the characters best against characters at random.
func readPreamble(chars []Soft) (best preamble, ok bool) {
	ln := math.Log(float64(len(table)))
	most := 0.0
	for before := 0; before <= mostBefore; before++ {
		for shifts := 0; shifts <= mostShifts; shifts++ {
			for between := 0; between <= mostShifts; between++ {
				n := before + 2 + shifts + 1 + between + 1
				if n > len(chars) {
					continue
				}
				score, sure, at := 0.0, 0.0, 0
				read := func(codes []Code, counts bool) Code {
					c, p, sum := among(&chars[at], codes)
					// A code of several that are as likely.
					score += math.Log(sum/float64(len(codes))) + ln
					if counts {
						sure += math.Log(p / sum)
					}
					at++
					return c
				}
				for range before {
					read(beforeCodes, false)
				}
				p := preamble{length: n}
				p.station = byte(read(stationCodes, true).Rune(false))
				p.subject = Subject(read(subjectCodes, true).Rune(false))
				for range shifts {
					read(shiftCodes, false)
				}
				p.number = 10 * int(read(digitCodes, true).Rune(true)-'0')
				for range between {
					read(shiftCodes, false)
				}
				p.number += int(read(digitCodes, true).Rune(true) - '0')
				if p.sure = math.Exp(sure); score > most {
					best, most, ok = p, score, true
				}
			}
		}
	}
	return best, ok
}

// among is the likeliest of some codes, its probability, and that of all of them.
func among(s *Soft, codes []Code) (best Code, most, sum float64) {
	for _, c := range codes {
		p := math.Exp(s.Of(c))
		if sum += p; p > most {
			best, most = c, p
		}
	}
	return best, most, sum
}

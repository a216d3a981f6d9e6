package alerts

import (
	"strings"
	"unicode"
)

// doubt is the confidence below which a character may be any other one. Chosen on Morse of 20 words a minute at -3 and 0 dB in
// 2500 Hz, through moderate and disturbed conditions at middle latitudes (Recommendation ITU-R F.1487), seeds 0 to 23, 3600 words at
// each: at 0.8, of the words sent 81 % are found, 69 % as they are printed, and a word that is looked for is found once in 25000
// others; at 0.7 these are 77 % and once in 60000, at 0.9 85 % and once in 12000. To take only characters with similar codes for
// each other gains nothing: 81 % at as many false ones.
const doubt = 0.8

// finder looks for the patterns of one rule in one text, character by character. Of what overlaps it finds what ends first.
type finder struct {
	patterns []*pattern
	now      [][]place // of each pattern, the places in it that have been reached
	next     []place
}

// place is one that has been reached in a pattern: all tokens before it are met. There is one for each number of edits in the
// word at hand.
type place struct {
	reached bool
	soft    uint8 // of the word at hand
	start   int64 // character of the text at which it began
}

const editsKept = 2 // none and one

func newFinder(patterns []*pattern) *finder {
	f := &finder{patterns: patterns}
	most := 0
	for _, p := range patterns {
		f.now = append(f.now, make([]place, editsKept*(len(p.tokens)+1)))
		most = max(most, editsKept*(len(p.tokens)+1))
	}
	f.next = make([]place, most)
	f.clear()
	return f
}

// clear forgets what came.
func (f *finder) clear() {
	for _, places := range f.now {
		clear(places)
	}
}

// write takes the character with the number index; before says whether it is the first of a word. It tells whether the
// patterns were met by what came before it, and since which character.
func (f *finder) write(index int64, r rune, confidence float64, first bool) (start int64, found bool) {
	inWord := isInWord(r)
	if !inWord {
		if start, found = f.met(); found {
			f.clear()
		}
	}
	for i, p := range f.patterns {
		places := f.now[i]
		if first {
			reach(places, 0, 0, place{true, 0, index})
			p.close(places)
		}
		next := f.next[:len(places)]
		clear(next)
		for at := range len(p.tokens) + 1 {
			for edits := range editsKept {
				if s := places[editsKept*at+edits]; s.reached {
					p.step(next, at, edits, s, r, inWord, confidence < doubt)
				}
			}
		}
		p.close(next)
		copy(places, next)
	}
	return start, found
}

// met tells whether a pattern is met by what came, which ends here.
func (f *finder) met() (start int64, found bool) {
	for i, p := range f.patterns {
		for edits := range editsKept {
			if s := f.now[i][editsKept*len(p.tokens)+edits]; s.reached && (!found || s.start < start) {
				start, found = s.start, true
			}
		}
	}
	return start, found
}

// step takes a character at a place with so many edits.
func (p *pattern) step(next []place, at, edits int, s place, r rune, inWord, doubtful bool) {
	w := p.word(at)
	spared := func(w word, edits int, soft uint8) bool { return edits < int(w.edits) && soft < w.soft }
	soft := func(to, edits int) { reach(next, to, edits, place{true, s.soft + 1, s.start}) }
	begins := at == 0 || p.tokens[at-1].kind == between // a word

	switch {
	case at == len(p.tokens): // what ends here is met already
		if inWord && spared(w, edits, s.soft) {
			soft(at, edits+1)
		}
		return
	case !inWord && begins: // more between two words
		if at > 0 {
			reach(next, at, edits, s)
		}
		return
	}

	t := p.tokens[at]
	switch t.kind {
	case between:
		if !inWord {
			reach(next, at+1, 0, place{true, 0, s.start})
			return
		}
		if spared(w, edits, s.soft) {
			soft(at, edits+1)                                                   // a character too many
			p.step(next, at+1, 0, place{true, 0, s.start}, r, inWord, doubtful) // a gap too few
		} else if spared(p.words[t.word], 0, 0) {
			p.step(next, at+1, 1, place{true, 1, s.start}, r, inWord, doubtful)
		}
	case anyRun:
		if inWord {
			reach(next, at, edits, s)
		}
	case anyOne:
		if inWord {
			reach(next, at+1, edits, s)
		}
	case literal:
		if r == t.rune {
			reach(next, at+1, edits, s)
			return
		}
		if doubtful && s.soft < w.soft {
			if unicode.IsSpace(r) { // a gap that is none
				soft(at, edits)
			} else {
				soft(at+1, edits)
			}
		}
		if spared(w, edits, s.soft) {
			soft(at, edits+1) // one too many
			if !unicode.IsSpace(r) {
				soft(at+1, edits+1) // a wrong one
			}
		}
	}
}

// close reaches what needs no character: behind a run, and behind one that is missing.
func (p *pattern) close(places []place) {
	for at, t := range p.tokens {
		for edits := range editsKept {
			s := places[editsKept*at+edits]
			if !s.reached {
				continue
			}
			if w := p.words[t.word]; t.kind == anyRun {
				reach(places, at+1, edits, s)
			} else if t.kind == literal && edits < int(w.edits) && s.soft < w.soft {
				reach(places, at+1, edits+1, place{true, s.soft + 1, s.start})
			}
		}
	}
}

// word is what is suffered at a place: at the gap behind a word it is that word's.
func (p *pattern) word(at int) word {
	if at == len(p.tokens) {
		return p.words[len(p.words)-1]
	}
	if t := p.tokens[at]; t.kind == between {
		return p.words[t.word-1]
	}
	return p.words[p.tokens[at].word]
}

// reach keeps of two ways to a place the better one.
func reach(places []place, at, edits int, s place) {
	old := &places[editsKept*at+edits]
	if !old.reached || s.soft < old.soft || s.soft == old.soft && s.start < old.start {
		*old = s
	}
}

// plain makes of what stands for a character the characters that were sent: of letters run together in Morse, shown in brackets
// with overlines, the letters.
func plain(text string) string {
	if !strings.ContainsRune(text, overline) {
		return strings.ToUpper(text)
	}
	return strings.Map(func(r rune) rune {
		if r == overline || r == '<' || r == '>' {
			return -1
		}
		return r
	}, strings.ToUpper(text))
}

const overline = '\u0305' // combining, follows each letter

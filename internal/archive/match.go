package archive

import (
	"cmp"
	"slices"
	"strings"
)

// Found is a line in which words of a query were found.
type Found struct {
	Line
	Matches []Match // in order, none within another one
}

// Match is where a word was found.
type Match struct {
	From, To int    // bytes of the line's text
	MayBe    string // the word of the query that a garbled one may be; "": it was printed as it is
}

// Matches says where the words of a query are in some lines of one transmission that follow each other; nil where none is.
func Matches(query string, text []Line) ([][]Match, error) {
	terms, err := parseWords(query)
	if err != nil {
		return nil, err
	}
	all := make([][]Match, len(text))
	for i, l := range text {
		next := ""
		if i+1 < len(text) {
			next = text[i+1].Text
		}
		all[i] = matches(terms, l, next)
	}
	return all, nil
}

// matches are where terms are in a line, or begin in it. The characters of the line are needed for garbled ones alone.
func matches(terms []term, l Line, next string) (found []Match) {
	places := placesOf(l.Text)
	var have []string
	for _, p := range places {
		have = append(have, p.word)
	}
	have = append(have, words(next)...)
	for i := range terms {
		t := &terms[i]
		if t.not {
			continue
		}
		for at := range places {
			if t.at(have[at:]) {
				last := min(at+len(t.words), len(places)) - 1
				found = append(found, Match{From: places[at].from, To: places[last].to})
			}
		}
		if t.garbled {
			found = append(found, garbledMatches(t.words[0], l)...)
		}
	}
	return apart(found)
}

// garbledMatches are where a word may be in a line, but is printed with low confidence as another one.
func garbledMatches(word string, l Line) (found []Match) {
	offsets := make([]int, len(l.Chars)+1)
	for i, c := range l.Chars {
		offsets[i+1] = offsets[i] + len(c.Text)
	}
	if offsets[len(l.Chars)] != len(l.Text) {
		return nil // what is damaged Check tells of
	}
	read := readings(word)
	eachReading(l.Chars, func(from, to int, reading string) {
		for w := range strings.FieldsSeq(fold(reading)) {
			if slices.Contains(read, w) {
				found = append(found, Match{offsets[from], offsets[to], word})
				return
			}
		}
	})
	return found
}

// apart puts matches in order and leaves out those that overlap an earlier one; of two at the same place that which was printed as it
// is comes first.
func apart(all []Match) (kept []Match) {
	slices.SortStableFunc(all, func(a, b Match) int {
		return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(len(a.MayBe), len(b.MayBe)), cmp.Compare(b.To, a.To))
	})
	for _, m := range all {
		if len(kept) == 0 || m.From >= kept[len(kept)-1].To {
			kept = append(kept, m)
		}
	}
	return kept
}

// place is a word of a text, folded, and where it is.
type place struct {
	word     string
	from, to int
}

// placesOf are the words of a text.
func placesOf(text string) (all []place) {
	from := -1
	end := func(to int) {
		if from < 0 {
			return
		}
		if w := words(text[from:to]); len(w) > 0 {
			all = append(all, place{w[0], from, to})
		}
		from = -1
	}
	for i, r := range text {
		switch {
		case !isWord(r):
			end(i)
		case from < 0:
			from = i
		}
	}
	end(len(text))
	return all
}

// at says whether a term's words, of a longer phrase the first ones, are at the beginning of some.
func (t *term) at(have []string) bool {
	for i, w := range t.words[:min(len(t.words), before+1)] {
		switch {
		case i >= len(have):
			return i > before/2
		case have[i] == w, t.prefix && i == len(t.words)-1 && strings.HasPrefix(have[i], w):
		default:
			return false
		}
	}
	return true
}

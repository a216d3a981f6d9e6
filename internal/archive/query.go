package archive

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"ionoscribe/internal/fault"
)

// The language of searches, of which nothing is handed to the database as it is:
//
//	gale warning      both words are in a transmission: in its text, its title or its notes, however they are written
//	"gale warning"    the words follow each other, also from one line to the next
//	meteo*            a word that begins so
//	~warning          the word, or where some of it was printed with low confidence one that differs there by a character
//	-test             that is in none

// term is a part of a query.
type term struct {
	words   []string // folded; more than one: they follow each other
	prefix  bool     // the last one begins so
	garbled bool     // one word
	not     bool
}

// Bounds of a query.
const (
	mostTerms  = 32
	mostWord   = 60 // characters
	leastStart = 2  // characters before *
)

// errWords is what is wrong with a query.
type errWords struct{ word, wrong, mend string }

func (e *errWords) Error() string {
	return fmt.Sprintf("%q %s; %s", fault.OneLine(e.word), e.wrong, e.mend)
}

// CheckWords says what is wrong with the words of a query, in a sentence; nil: nothing.
func CheckWords(s string) error {
	_, err := parseWords(s)
	return err
}

func parseWords(s string) ([]term, error) {
	var terms []term
	s = strings.ToValidUTF8(s, "\uFFFD")
	for s = strings.TrimSpace(s); s != ""; s = strings.TrimSpace(s) {
		var t term
		rest := s
		for {
			if r, ok := strings.CutPrefix(rest, "-"); ok && !t.not && !t.garbled {
				t.not, rest = true, r
			} else if r, ok := strings.CutPrefix(rest, "~"); ok && !t.garbled {
				t.garbled, rest = true, r
			} else {
				break
			}
		}
		var text string
		if r, ok := strings.CutPrefix(rest, `"`); ok {
			if text, rest, ok = strings.Cut(r, `"`); !ok {
				return nil, &errWords{s, "has no closing quotation mark", "add one"}
			}
			if t.garbled {
				return nil, &errWords{s[:len(s)-len(rest)], "is a phrase", "put ~ before each word instead"}
			}
			rest, t.prefix = strings.CutPrefix(rest, "*")
		} else {
			end := strings.IndexFunc(rest, isGap)
			if end < 0 {
				end = len(rest)
			}
			text, rest = rest[:end], rest[end:]
			if q := strings.Index(text, `"`); q > 0 { // a phrase begins without a gap
				text, rest = text[:q], text[q:]+rest
			}
			text, t.prefix = strings.CutSuffix(text, "*")
		}
		whole := strings.TrimSpace(s[:len(s)-len(rest)])
		s = rest
		if t.prefix && strings.HasPrefix(rest, "*") || strings.Contains(text, "*") {
			return nil, &errWords{whole, "has a * that is not at its end", "let the word end with it"}
		}
		t.words = words(text)
		if err := t.check(whole); err != nil {
			return nil, err
		}
		if t.garbled {
			for _, w := range t.words {
				terms = append(terms, term{words: []string{w}, garbled: true, not: t.not})
			}
		} else {
			terms = append(terms, t)
		}
		if len(terms) > mostTerms {
			return nil, &errWords{whole, fmt.Sprintf("is more than the %d words that a query has at most", mostTerms), "search for fewer"}
		}
	}
	return terms, nil
}

func isGap(r rune) bool { return strings.ContainsRune(" \t\r\n\v\f\u00a0\u2028\u2029\u3000", r) }

func (t *term) check(whole string) error {
	if len(t.words) == 0 {
		return &errWords{whole, "has no letter or figure", "leave it out"}
	}
	if len(t.words) > mostTerms {
		return &errWords{whole, "is too long", "search for fewer words"}
	}
	for _, w := range t.words {
		if utf8.RuneCountInString(w) > mostWord {
			return &errWords{whole, "is too long", "search for a part of it with * at its end"}
		}
	}
	last := t.words[len(t.words)-1]
	if t.prefix && utf8.RuneCountInString(last) < leastStart {
		return &errWords{whole, "would find almost everything", "give two letters before the *"}
	}
	if t.prefix && t.garbled {
		return &errWords{whole, "has both ~ and *", "use one of them"}
	}
	return nil
}

// part is what must be met somewhere in a transmission, as queries of FTS5.
type part struct {
	text  string // of the index of texts
	about string // of the index of titles and notes
	title string // of the same, but of titles alone
}

// parts are what a term is made of: of a long phrase each part that is in one document, even where the phrase goes on in the next
// one.
func (t *term) parts() (all []part) {
	n := min(len(t.words), before+1)
	for i := 0; i+n <= len(t.words); i++ {
		e := `"` + strings.Join(t.words[i:i+n], " ") + `"`
		if t.prefix && i+n == len(t.words) {
			e += " *"
		}
		p := part{"{text} : " + e, e, "{title} : " + e}
		if t.garbled {
			p.text += ` OR {garbled} : ("` + strings.Join(readings(t.words[0]), `" OR "`) + `")`
		}
		all = append(all, p)
	}
	return all
}

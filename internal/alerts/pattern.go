package alerts

import (
	"fmt"
	"strings"
	"unicode"
)

// A pattern of text is words of letters and figures, large or small. In a word "?" is any one of them and "*" any number. Between
// two words, in the pattern and in the text, is anything else: a line's end too.
type pattern struct {
	tokens []token
	words  []word
}

type tokenKind uint8

const (
	literal tokenKind = iota
	anyOne
	anyRun
	between // two words
)

type token struct {
	kind tokenKind
	rune rune // of literal
	word int  // that it is in; of between: the one behind it
}

// word is what garbling is suffered in one.
type word struct {
	edits uint8 // characters that are wrong, missing or too many
	soft  uint8 // edits and characters printed in doubt as others, together
}

const (
	editedLength   = 5   // characters of a word from which it may have an edit
	mostCharacters = 100 // of a pattern; a phrase is shorter
)

func compile(s string) (*pattern, error) {
	words := strings.FieldsFunc(strings.ToUpper(s), func(r rune) bool { return !isInWord(r) && r != '?' && r != '*' })
	if len([]rune(s)) > mostCharacters {
		return nil, fmt.Errorf("a pattern has more than %d characters", mostCharacters)
	}
	p := new(pattern)
	all := 0
	for i, w := range words {
		if i > 0 {
			p.tokens = append(p.tokens, token{kind: between, word: i})
		}
		literals := 0
		for _, r := range w {
			t := token{rune: r, word: i}
			switch r {
			case '?':
				t.kind = anyOne
			case '*':
				t.kind = anyRun
			default:
				literals++
			}
			p.tokens = append(p.tokens, t)
		}
		all += literals
		p.words = append(p.words, suffered(literals))
	}
	if all == 0 {
		return nil, fmt.Errorf("the pattern %q has neither a letter nor a figure", s)
	}
	return p, nil
}

// suffered leaves more than half of the characters as they should be, so that what is found resembles what was looked for.
func suffered(characters int) word {
	w := word{soft: uint8(max(0, characters-1) / 2)}
	if characters >= editedLength {
		w.edits = 1
	}
	return w
}

func isInWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

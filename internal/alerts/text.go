package alerts

import (
	"bytes"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"ionoscribe/internal/fault"
)

const (
	recentLength = 300 // characters of a text that are kept for excerpts
	longestCall  = 16  // characters of a word that may have a call sign in it, with what is added to it
	callsKept    = 64  // of a text, that a rule has told of
)

// text is a transmission's, as it comes.
type text struct {
	used    int64 // number of the last character among those of all texts
	about   Event // the last character
	index   int64 // of the next character
	recent  [recentLength]rune
	first   bool // the next letter or figure begins a word
	space   bool // the last character was white space
	call    []byte
	least   float64    // confidence of a character of call
	afterDE bool       // the word before call was "DE"
	finders []*finder  // of each rule; nil: it looks for no words
	told    [][]string // of each rule, calls that it has been told of, the oldest first
	hits    []hit      // in what was written last
}

// hit is what met a rule in a text.
type hit struct {
	rule    int
	match   string // words
	call    string
	excerpt string
	country string
}

func newText(rules []rule) *text {
	t := &text{first: true, space: true, least: 1, finders: make([]*finder, len(rules)), told: make([][]string, len(rules))}
	for i := range rules {
		if len(rules[i].patterns) > 0 {
			t.finders[i] = newFinder(rules[i].patterns)
		}
	}
	return t
}

// write takes what was printed for one character, or a whole line at once, and calls found for what it completes. A line is quoted to
// its end.
func (t *text) write(rules []rule, e Event, found func(hit)) {
	t.about = e
	if utf8.RuneCountInString(e.Text) <= 1 {
		for _, r := range plain(e.Text) {
			t.character(rules, r, e.Confidence, found)
		}
		return
	}
	t.hits = t.hits[:0]
	for _, r := range plain(e.Text) {
		t.character(rules, r, e.Confidence, func(h hit) { t.hits = append(t.hits, h) })
	}
	for _, h := range t.hits {
		h.excerpt = t.since(0)
		found(h)
	}
}

func (t *text) character(rules []rule, r rune, confidence float64, found func(hit)) {
	space := unicode.IsSpace(r)
	if space && t.space {
		return
	}
	if t.space = space; space {
		r = ' '
	}
	inWord := isInWord(r)
	t.endOfCall(rules, r, found)
	if inWord || r == '/' && len(t.call) > 0 {
		if len(t.call) <= longestCall {
			t.call = append(t.call, string(r)...)
		}
		t.least = min(t.least, confidence)
	}
	for i, f := range t.finders {
		if f == nil {
			continue
		}
		if start, ok := f.write(t.index, r, confidence, t.first && inWord); ok {
			found(hit{rule: i, match: t.since(start), excerpt: t.since(0)})
		}
	}
	t.first = !inWord
	t.recent[t.index%recentLength] = r
	t.index++
}

// end takes the end of the text.
func (t *text) end(rules []rule, found func(hit)) { t.character(rules, '\x00', 1, found) }

// since is what was printed from a character on, as far as it is kept.
func (t *text) since(start int64) string {
	var b strings.Builder
	for i := max(start, t.index-recentLength, 0); i < t.index; i++ {
		b.WriteRune(t.recent[i%recentLength])
	}
	return fault.OneLine(b.String())
}

// endOfCall looks at the word that a character ends.
func (t *text) endOfCall(rules []rule, r rune, found func(hit)) {
	if isInWord(r) || r == '/' || len(t.call) == 0 {
		return
	}
	word, afterDE, least := t.call, t.afterDE, t.least
	t.call, t.afterDE, t.least = t.call[:0], string(word) == "DE", 1
	if len(word) > longestCall || least < sure || !afterDE && !bytes.ContainsAny(word, "0123456789") {
		return
	}
	call := callIn(string(word), afterDE)
	if call == "" {
		return
	}
	country := Country(call)
	for i := range rules {
		if rules[i].wants(call, country) && !slices.Contains(t.told[i], call) {
			if t.told[i] = append(t.told[i], call); len(t.told[i]) > callsKept {
				t.told[i] = slices.Delete(t.told[i], 0, 1)
			}
			found(hit{rule: i, call: call, excerpt: t.since(0), country: country})
		}
	}
}

package archive

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// isWord says of a character that it is part of a word, as the tokenizer unicode61 of FTS5 has it: letters, numbers, and what
// combines with them.
func isWord(r rune) bool {
	return unicode.IsLetter(r) || unicode.IsNumber(r) || unicode.Is(unicode.Mn, r) || unicode.Is(unicode.Co, r)
}

// fold makes small letters without diacritics of a text.
func fold(s string) string {
	plain := true
	for i := 0; i < len(s); i++ {
		if s[i] >= utf8.RuneSelf {
			plain = false
			break
		}
	}
	if plain {
		return strings.ToLower(s)
	}
	return strings.ToLower(strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, norm.NFD.String(s)))
}

// words are those of a text, folded.
func words(s string) []string {
	return strings.FieldsFunc(fold(s), func(r rune) bool { return !isWord(r) })
}

// unsure is the confidence below which a character is looked up as if it might be another one: one of ten such is wrong, where
// confidences are right.
const unsure = 0.9

// Marks stand in the index for a doubtful character and before a word that has one. They are letters to the tokenizer, and
// of no text that is received: U+0298 and U+01C3, clicks.
const (
	anyMark  = 'ʘ'
	lostMark = 'ǃ'
)

// garbled are the readings of a line's words with a doubtful character, of which one is another one, or none, or was lost:
//
//	GAXE  gaʘe (the character is another one), gae (there was none), ga, e (it was a gap), ǃgaxe (one was lost)
//
// and those with its alternatives. What looks a word up looks for the same readings of it: see readings.
func garbled(chars []Char, out *strings.Builder) {
	eachReading(chars, func(_, _ int, reading string) {
		out.WriteString(reading)
		out.WriteByte(' ')
	})
}

// eachReading calls f with each reading of a line's words with a doubtful character, and with the characters that are the word.
func eachReading(chars []Char, f func(from, to int, reading string)) {
	any := false
	for _, c := range chars {
		if c.Confidence < unsure {
			any = true
			break
		}
	}
	if !any {
		return
	}
	isPart := func(s string) bool {
		for _, r := range s {
			if !isWord(r) {
				return false
			}
		}
		return true
	}
	const most = 40 // characters on either side
	said := ""      // the last word that had its lostMark
	for i, c := range chars {
		if c.Confidence >= unsure {
			continue
		}
		from, to := i, i+1
		for from > 0 && i-from < most && isPart(chars[from-1].Text) {
			from--
		}
		for to < len(chars) && to-i <= most && isPart(chars[to].Text) {
			to++
		}
		add := func(from, to int, word string) {
			if word != "" {
				f(from, to, word)
			}
		}
		left, right := textOf(chars[from:i]), textOf(chars[i+1:to])
		if left+right == "" && len(c.Alternatives) == 0 && !isPart(c.Text) {
			continue
		}
		add(from, to, left+string(anyMark)+right)
		add(from, to, left+right)
		if left != "" && right != "" {
			add(from, i, left)
			add(i+1, to, right)
		}
		if isPart(c.Text) {
			if w := left + c.Text + right; w != said {
				add(from, to, string(lostMark)+w)
				said = w
			}
		}
		for _, a := range c.Alternatives {
			add(from, to, left+a+right)
		}
	}
}

// readings are what the index has of a folded word where it was garbled.
func readings(word string) []string {
	all := []string{word}
	letters := []rune(word)
	for i := range letters {
		left, right := string(letters[:i]), string(letters[i+1:])
		all = append(all, left+string(anyMark)+right)
		if left+right != "" && (i == 0 || letters[i] != letters[i-1]) {
			all = append(all, string(lostMark)+left+right)
		}
	}
	return all
}

package cw

import (
	"strings"
	"unicode"
)

// Symbol is what a pattern means.
type Symbol struct {
	Pattern Pattern // 0: the gap between words
	Text    string  // a character, or letters run together in the notation of the package, or " "
	// Procedure is the pattern as a procedure signal, in the notation of the package; "" if it is not one. It differs
	// from Text where a character has the same pattern: "+" is <A̅R̅> too.
	Procedure string
	Meaning   string // as a procedure signal
	// Practice marks what ITU-R M.1677-1 does not have: common practice.
	Practice bool
}

// Space is the gap between words.
var Space = Symbol{Text: " "}

// ErrorSignal is eight dots: what came before is wrong (ITU-R M.1677-1, part I, clause 1.1.3).
const ErrorSignal Pattern = 1 << 8

// standard is ITU-R M.1677-1, part I, clauses 1.1.1 to 1.1.3, without procedure signals and the multiplication sign,
// which is X.
const standard = `
A .-     H ....   O ---    V ...-   1 .----   8 ---..
B -...   I ..     P .--.   W .--    2 ..---   9 ----.
C -.-.   J .---   Q --.-   X -..-   3 ...--   0 -----
D -..    K -.-    R .-.    Y -.--   4 ....-   . .-.-.-
E .      L .-..   S ...    Z --..   5 .....   , --..--
F ..-.   M --     T -      É ..-..  6 -....   : ---...
G --.    N -.     U ..-             7 --...   ? ..--..
' .----. - -....- / -..-.  ( -.--.  ) -.--.-  " .-..-.
= -...-  + .-.-.  @ .--.-.
`

// practice is common practice: punctuation, and letters of several languages. Of letters with the same pattern
// the first is what Lookup finds.
const practice = `
! -.-.--  ; -.-.-.  _ ..--.-  $ ...-..-
Ä .-.-    Æ .-.-    Ą .-.-
Å .--.-   À .--.-
Ç -.-..   Ć -.-..
È .-..-   Ł .-..-
Ę ..-..   Đ ..-..
Ð ..--.   Þ .--..
Ñ --.--   Ń --.--
Ö ---.    Ø ---.    Ó ---.
Š ----
Ü ..--
Ś ...-...  Ź --..-.  Ż --..-
& .-...   × -..-
`

// procedures are procedure signals. M.1677-1 clause 1.1.3 has understood, error, wait, end of work and starting
// signal; there too are invitation to transmit, the letter K, and + and =. The letters of all of them, the meanings of +
// and =, and those marked by a star are common practice. Of names for a pattern the first is printed.
var procedures = []struct{ letters, meaning string }{
	{"SN", "understood"}, {"VE", "understood"},
	{"HH", "error"},
	{"AS", "wait"},
	{"SK", "end of work"}, {"VA", "end of work"},
	{"KA", "starting signal"}, {"CT", "starting signal"},
	{"AR", "end of message"},
	{"BT", "separation"},
	{"KN", "*invitation to the station named only"},
	{"BK", "*break"},
	{"CL", "*closing down"},
	{"SOS", "*distress"},
}

const overline = '\u0305' // combining, follows each letter

// The code. Both are made once and never written.
var (
	byPattern [1 << (maxTableElements + 1)]Symbol // by the place in the tree
	byRune    = map[rune]Pattern{}
)

const maxTableElements = 9 // <S̅O̅S̅>

func init() {
	fill(standard, false)
	fill(practice, true)
	for _, s := range procedures {
		p, _ := joined(s.letters)
		at := &byPattern[p]
		meaning, star := strings.CutPrefix(s.meaning, "*")
		if at.Procedure == "" {
			at.Procedure, at.Meaning = bracket(s.letters), meaning
		}
		if at.Text == "" {
			at.Pattern, at.Text, at.Practice = p, at.Procedure, star
		}
	}
	byPattern[byRune['K']].Meaning = "invitation to transmit"
}

func fill(table string, isPractice bool) {
	fields := strings.Fields(table)
	for i := 0; i < len(fields); i += 2 {
		p, _ := NewPattern(fields[i+1])
		byRune[[]rune(fields[i])[0]] = p
		if fields[i] == "&" { // a receiver prints the <A̅S̅> of the standard
			continue
		}
		if at := &byPattern[p]; at.Text == "" {
			*at = Symbol{Pattern: p, Text: fields[i], Practice: isPractice}
		}
	}
}

// Lookup is the symbol of a pattern; ok is false for one that has no meaning. Pattern 0 is Space.
func Lookup(p Pattern) (s Symbol, ok bool) {
	if p == 0 {
		return Space, true
	}
	if int(p) >= len(byPattern) || byPattern[p].Text == "" {
		return Symbol{}, false
	}
	return byPattern[p], true
}

// Of is the pattern of a character, upper or lower case; ok is false if it has none.
func Of(r rune) (p Pattern, ok bool) {
	p, ok = byRune[unicode.ToUpper(r)]
	return p, ok
}

// Symbols are all that Lookup finds, in the order of the tree.
func Symbols() []Symbol {
	var all []Symbol
	for _, s := range byPattern {
		if s.Text != "" {
			all = append(all, s)
		}
	}
	return all
}

// bracket is letters run together in the notation of the package.
func bracket(letters string) string {
	var b strings.Builder
	b.WriteByte('<')
	for _, r := range letters {
		if r != overline {
			b.WriteRune(unicode.ToUpper(r))
			b.WriteRune(overline)
		}
	}
	b.WriteByte('>')
	return b.String()
}

// joined is the pattern of letters run together, with or without overlines.
func joined(letters string) (Pattern, bool) {
	p := Pattern(1)
	for _, r := range letters {
		if r == overline {
			continue
		}
		q, ok := Of(r)
		if !ok {
			return 0, false
		}
		p = p.join(q)
	}
	return p, p > 1
}

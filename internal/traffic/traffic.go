package traffic

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// Kind is a kind of message.
type Kind string

// The kinds of messages.
const (
	Marker   Kind = "marker"     // RYRY and the like, alone or before a text
	Fox      Kind = "fox"        // the sentence with all letters and the row of figures
	Calls    Kind = "calls"      // one station calls another
	Groups   Kind = "groups"     // of five letters at random
	Numbers  Kind = "numbers"    // groups of five figures alone
	Synop    Kind = "synop"      // reports of land stations
	Ship     Kind = "ship"       // reports of ships
	List     Kind = "list"       // positions, times and levels in columns
	TopRow   Kind = "top row"    // words of letters that all have figures on their keys
	Repeated Kind = "repeated"   // a word or two, again and again
	Bulletin Kind = "bulletin"   // plain text with numbers
	Mixed    Kind = "mixed"      // letters and figures at random: from shift to shift every few characters
	Letter   Kind = "one letter" // runs of a single character among words
)

// Kinds lists all kinds.
var Kinds = []Kind{Marker, Fox, Calls, Groups, Numbers, Synop, Ship, List, TopRow, Repeated, Bulletin, Mixed, Letter}

// lineLength is that of a teleprinter's lines (69 characters: ITU-T S.1, from memory).
const lineLength = 69

// Message invents a message of a kind, of so many characters, in the characters of ITA2. It neither begins nor ends
// with white space.
func Message(k Kind, r *rand.Rand, characters int) string {
	next := words[k]
	if next == nil {
		next = words[Bulletin]
	}
	w := writer{rng: r, most: characters}
	next(&w)
	for w.text.Len() < characters {
		next(&w)
	}
	text := []byte(w.text.String()[:characters])
	if last := text[characters-1]; last == ' ' || last == '\n' {
		text[characters-1] = 'X'
		if k == Numbers {
			text[characters-1] = '7'
		}
	}
	return string(text)
}

// Any invents a message of any kind.
func Any(r *rand.Rand, characters int) string {
	return Message(Kinds[r.IntN(len(Kinds))], r, characters)
}

// writer puts words into lines.
type writer struct {
	rng    *rand.Rand
	most   int
	text   strings.Builder
	column int
	form   int // what a message keeps to, drawn once: 0 is "not yet"
}

func (w *writer) word(format string, args ...any) {
	s := fmt.Sprintf(format, args...)
	switch {
	case w.column == 0:
	case w.column+1+len(s) > lineLength:
		w.line()
	default:
		w.text.WriteByte(' ')
		w.column++
	}
	w.text.WriteString(s)
	w.column += len(s)
}

func (w *writer) line() {
	if w.column > 0 {
		w.text.WriteByte('\n')
		w.column = 0
	}
}

// choose keeps to one of n forms for the whole message.
func (w *writer) choose(n int) int {
	if w.form == 0 {
		w.form = 1 + w.rng.IntN(n)
	}
	return w.form - 1
}

func (w *writer) one(list []string) string { return list[w.rng.IntN(len(list))] }

func (w *writer) call() string {
	letters := "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	s := "X" + string(letters[w.rng.IntN(26)]) + string(rune('0'+w.rng.IntN(10)))
	for range 2 + w.rng.IntN(2) {
		s += string(letters[w.rng.IntN(26)])
	}
	return s
}

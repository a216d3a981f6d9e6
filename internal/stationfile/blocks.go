package stationfile

import (
	"bytes"

	"github.com/pelletier/go-toml/v2/unstable"
)

// block is a header of an element of an array of tables, or of a table within one, and the keys below it.
type block struct {
	element  int    // of the array, from 0
	within   string // key of the table within the element; "": it is the element
	follows  bool   // another block of the element, with no other table between
	from, to int    // its lines, from that of its header to that of its last key
	keys     []keyLine
}

// keyLine is a key of a block and its value.
type keyLine struct {
	key      string // its first part
	dotted   bool   // it has more
	from, to int    // its lines
	value    [2]int // where its value is
}

// blocks are those of an array of tables, in the order of the text, which is TOML.
func blocks(text []byte, array string) (all []block) {
	var p unstable.Parser
	p.Reset(text)
	elements, ours := 0, false
	for p.NextExpression() {
		e := p.Expression()
		var parts []string
		first, last := 0, 0
		for it := e.Key(); it.Next(); {
			raw := it.Node().Raw
			if len(parts) == 0 {
				first = int(raw.Offset)
			}
			parts, last = append(parts, string(it.Node().Data)), int(raw.Offset+raw.Length)
		}
		switch {
		case e.Kind == unstable.KeyValue && ours:
			from := last + len(text[last:]) - len(bytes.TrimLeft(text[last:], " \t="))
			k := keyLine{key: parts[0], dotted: len(parts) > 1, from: lineBegin(text, first), value: [2]int{from, valueEnd(text, from)}}
			k.to = lineEnd(text, k.value[1])
			b := &all[len(all)-1]
			b.keys, b.to = append(b.keys, k), k.to
		case e.Kind == unstable.Table || e.Kind == unstable.ArrayTable:
			before := ours
			if ours = parts[0] == array; !ours {
				continue
			}
			b := block{from: lineBegin(text, first), to: lineEnd(text, last), follows: before && len(parts) > 1}
			if len(parts) == 1 {
				elements++
			} else {
				b.within = parts[1]
			}
			b.element = elements - 1
			all = append(all, b)
		}
	}
	return all
}

// lineBegin is where the line of an offset begins.
func lineBegin(text []byte, at int) int { return bytes.LastIndexByte(text[:at], '\n') + 1 }

// lineEnd is where the line after that of an offset begins.
func lineEnd(text []byte, at int) int {
	if n := bytes.IndexByte(text[at:], '\n'); n >= 0 {
		return at + n + 1
	}
	return len(text)
}

// valueEnd is where a value of TOML ends that begins at an offset.
func valueEnd(text []byte, at int) int {
	depth := 0
	for at < len(text) {
		switch c := text[at]; c {
		case '"', '\'':
			at = stringEnd(text, at)
			if depth == 0 {
				return at
			}
			continue
		case '[', '{':
			depth++
		case ']', '}':
			if depth--; depth == 0 {
				return at + 1
			}
		case '#', '\r', '\n':
			if depth == 0 { // a number, a time, true or false
				return len(bytes.TrimRight(text[:at], " \t"))
			}
			if c == '#' {
				at = lineEnd(text, at)
				continue
			}
		}
		at++
	}
	return len(bytes.TrimRight(text, " \t"))
}

// stringEnd is where a string ends that begins at an offset with its quote.
func stringEnd(text []byte, at int) int {
	quote := text[at : at+1]
	if three := bytes.Repeat(quote, 3); bytes.HasPrefix(text[at:], three) {
		quote = three
	}
	for at += len(quote); at < len(text); at++ {
		switch {
		case text[at] == '\\' && quote[0] == '"':
			at++
		case bytes.HasPrefix(text[at:], quote):
			at += len(quote)
			for n := 0; len(quote) == 3 && n < 2 && at < len(text) && text[at] == quote[0]; n++ { // up to two are the string's
				at++
			}
			return at
		}
	}
	return len(text)
}

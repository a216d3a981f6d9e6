package stationfile

import (
	"bytes"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// section is the header of a table and what stands below it, up to the last of its pairs.
type section struct {
	path     string // of the table, such as receiver[1].tune
	from, to int    // offsets of its first line, and behind its last one
	pairs    []pair
}

// pair is a key and its value.
type pair struct {
	key        string // of a dotted one, its first part
	dotted     bool
	from, to   int // offsets of its first line, and behind its last one
	value, end int // of the value, and behind it
}

// locatePair adds a pair to the last section.
func (d *document) locatePair(table string, e *unstable.Node) {
	p := pair{from: d.lineOf(int(e.Raw.Offset)), end: int(e.Raw.Offset + e.Raw.Length)}
	path := table
	for it := e.Key(); it.Next(); {
		if p.key == "" && path == table {
			p.key = string(it.Node().Data)
		} else {
			p.dotted = true
		}
		path = join(path, string(it.Node().Data))
		p.value = int(it.Node().Raw.Offset + it.Node().Raw.Length)
	}
	p.value = p.end - len(bytes.TrimLeft(d.text[p.value:p.end], " \t="))
	p.to = d.lineAfter(p.end)
	s := &d.sections[len(d.sections)-1]
	s.pairs, s.to = append(s.pairs, p), p.to
}

// lineOf is where the line of an offset begins.
func (d *document) lineOf(at int) int { return 1 + bytes.LastIndexByte(d.text[:at], '\n') }

// lineAfter is where the line after that of an offset begins; the end of the text if there is none.
func (d *document) lineAfter(at int) int {
	if n := bytes.IndexByte(d.text[at:], '\n'); n >= 0 {
		return at + n + 1
	}
	return len(d.text)
}

// within says that a path is that of a table, or of one in it.
func within(path, table string) bool {
	rest, ok := strings.CutPrefix(path, table)
	return ok && (rest == "" || rest[0] == '.' || rest[0] == '[')
}

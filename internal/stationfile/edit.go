package stationfile

import (
	"bytes"
	"cmp"
	"fmt"
	"reflect"
	"slices"
	"strings"
)

// edit gathers changes of a document's text. Whatever they do not touch stays as it is, byte by byte.
type edit struct {
	*document
	changes []change
}

// change puts something in the place of a part of the text.
type change struct {
	from, to int
	by       string
}

// find is the index of the table of a kind with a name, such as [[receiver]]; -1 if there is none. It fails if they are not
// written as tables.
func (d *document) find(kind, name string) (int, error) {
	if _, any := d.root[kind]; any && !slices.ContainsFunc(d.sections, func(s section) bool { return s.path == element(kind, 0) }) {
		return 0, fmt.Errorf("%s is not written as tables; write [[%[1]s]] before each, then it can be changed here", kind)
	}
	list, _ := d.root[kind].([]any)
	return slices.IndexFunc(list, func(v any) bool {
		items, _ := v.(map[string]any)
		s, ok := scalar(items["name"])
		return ok && strings.TrimSpace(s) == name
	}), nil
}

// set changes those keys of a table whose values are to be other ones. What a table is not to have is in is, and not in want.
func (e *edit) set(table string, order []string, is, want map[string]any) {
	var add []string
	i := slices.IndexFunc(e.sections, func(s section) bool { return s.path == table })
	own := e.sections[i]
	for _, key := range order {
		if reflect.DeepEqual(is[key], want[key]) {
			continue
		}
		value, wanted := want[key]
		if p := e.simple(own, key); p != nil && wanted {
			e.changes = append(e.changes, change{p.value, p.end, valueText(value)})
			continue
		}
		e.drop(own, key)
		if wanted {
			add = append(add, key+" = "+valueText(value))
		}
	}
	e.insert(own, add)
}

// simple is the pair that alone is a key of a table, written without dots; nil if there is none.
func (e *edit) simple(own section, key string) (alone *pair) {
	for i, p := range own.pairs {
		if p.key == key {
			if p.dotted {
				return nil
			}
			alone = &own.pairs[i]
		}
	}
	return alone
}

// drop takes a key out of a table: its lines, and the tables that it is.
func (e *edit) drop(own section, key string) {
	for _, p := range own.pairs {
		if p.key == key {
			e.changes = append(e.changes, change{p.from, p.to, ""})
		}
	}
	for _, s := range e.sections {
		if within(s.path, join(own.path, key)) {
			e.changes = append(e.changes, change{s.from, s.to, ""})
		}
	}
}

// insert adds lines to a table, below its last pair and indented as that is.
func (e *edit) insert(own section, lines []string) {
	if lines == nil {
		return
	}
	last := own.from
	if n := len(own.pairs); n > 0 {
		last = own.pairs[n-1].from
	}
	line := e.text[last:]
	indent := string(line[:len(line)-len(bytes.TrimLeft(line, " \t"))])
	nl, by := e.lineEnd(), ""
	if !e.atLine(own.to) {
		by = nl
	}
	for _, l := range lines {
		by += indent + l + nl
	}
	e.changes = append(e.changes, change{own.to, own.to, by})
}

// add puts a new table behind the last one of its kind, or at the end of the file.
func (e *edit) add(kind string, order []string, want map[string]any) {
	at, nl := len(e.text), e.lineEnd()
	for i, s := range e.sections {
		if within(s.path, kind) {
			at = e.behind(i)
		}
	}
	by := ""
	before := strings.ReplaceAll(string(e.text[:at]), "\r\n", "\n")
	if !e.atLine(at) {
		by = nl
	}
	if before != "" && !strings.HasSuffix(before, "\n\n") {
		by += nl
	}
	by += "[[" + kind + "]]" + nl
	for _, key := range order {
		if v, wanted := want[key]; wanted {
			by += key + " = " + valueText(v) + nl
		}
	}
	if at < len(e.text) && !isBlank(e.text[at:e.lineAfter(at)]) {
		by += nl
	}
	e.changes = append(e.changes, change{at, at, by})
}

// behind is where a table can be added behind a section. Comments below a section belong to it, but for those right above the next
// header, and from a heading (# ---) on.
func (e *edit) behind(i int) int {
	at, next := e.sections[i].to, len(e.text)
	last := i+1 == len(e.sections)
	if !last {
		next = e.sections[i+1].from
	}
	above := next // where the comments right above the next header begin
	for line := at; line < next; line = e.lineAfter(line) {
		text := bytes.TrimSpace(e.text[line:e.lineAfter(line)])
		switch {
		case bytes.HasPrefix(text, []byte("# --")):
			return line
		case len(text) == 0:
			above = next
		case above == next && !last:
			above = line
		}
	}
	return above
}

// remove takes a table out, with the tables in it, and one of the blank lines between which it stood.
func (e *edit) remove(table string) {
	for _, s := range e.sections {
		if !within(s.path, table) {
			continue
		}
		after := e.lineAfter(s.to)
		before := s.from == 0 || isBlank(e.text[e.lineOf(s.from-1):s.from])
		if before && isBlank(e.text[s.to:after]) {
			s.to = after
		}
		e.changes = append(e.changes, change{s.from, s.to, ""})
	}
}

// done is the text with its changes.
func (e *edit) done() []byte {
	slices.SortStableFunc(e.changes, func(a, b change) int { return cmp.Or(a.from-b.from, a.to-b.to) })
	var text []byte
	at := 0
	for _, c := range e.changes {
		text = append(append(text, e.text[at:c.from]...), c.by...)
		at = c.to
	}
	return append(text, e.text[at:]...)
}

func (e *edit) atLine(at int) bool { return at == 0 || e.text[at-1] == '\n' }

// lineEnd is how lines of the file end.
func (e *edit) lineEnd() string {
	if bytes.Contains(e.text, []byte("\r\n")) {
		return "\r\n"
	}
	return "\n"
}

func isBlank(line []byte) bool { return len(bytes.TrimSpace(line)) == 0 }

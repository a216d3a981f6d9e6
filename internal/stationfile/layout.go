package stationfile

import (
	"bytes"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
)

// layout says where in a text something is put in or taken out.
type layout struct {
	text    []byte
	newline string
}

// line is a line to be put in at an offset, where a line begins or the text ends.
func (l layout) line(at int, text string) splice {
	if at > 0 && l.text[at-1] != '\n' {
		text = l.newline + strings.TrimSuffix(text, l.newline)
	}
	return splice{at, at, text}
}

// add puts a table behind the last one of its array, or at the end, with an empty line before it.
func (l layout) add(e edit, all []block) splice {
	at := len(l.text)
	if len(all) > 0 {
		at = 0
		for _, b := range all {
			at = max(at, b.to)
		}
		at = l.behindComments(at, keysOf(e.form))
	}
	table := e.newTable(l.newline)
	switch before := l.text[:at]; {
	case len(bytes.TrimSpace(before)) == 0:
	case bytes.HasSuffix(before, []byte("\n")) && len(bytes.TrimSpace(before[lineBegin(before, at-1):])) == 0:
	case bytes.HasSuffix(before, []byte("\n")):
		table = l.newline + table
	default:
		table = l.newline + l.newline + table
	}
	if rest := l.text[at:lineEnd(l.text, at)]; len(bytes.TrimSpace(rest)) > 0 {
		table += l.newline
	}
	return splice{at, at, table}
}

var keyInComment = regexp.MustCompile(`(?m)^[ \t]*#[ \t]*([a-z_]+)[ \t]*=`)

// behindComments is where the comments end that belong to the table that ends at an offset: those that follow it at once, and
// paragraphs in which its keys are left out.
func (l layout) behindComments(at int, keys []string) int {
	end, next := at, at
	for first := true; ; first = false {
		comment := false
		for next < len(l.text) {
			line := bytes.TrimSpace(l.text[next:lineEnd(l.text, next)])
			if !bytes.HasPrefix(line, []byte("#")) {
				break
			}
			comment, next = true, lineEnd(l.text, next)
		}
		if rest := l.text[next:lineEnd(l.text, next)]; comment && next < len(l.text) && len(bytes.TrimSpace(rest)) > 0 {
			return end // the comment is of what follows it
		}
		ours := first
		for _, m := range keyInComment.FindAllSubmatch(l.text[end:next], -1) {
			ours = ours || slices.Contains(keys, string(m[1]))
		}
		if comment && !ours || !comment && !first {
			return end
		}
		if comment {
			end = next
		}
		for next < len(l.text) && len(bytes.TrimSpace(l.text[next:lineEnd(l.text, next)])) == 0 {
			next = lineEnd(l.text, next)
		}
		if next == len(l.text) {
			return end
		}
	}
}

// remove takes out a table, and an empty line if there would be two.
func (l layout) remove(all []block, element int) (splices []splice) {
	for i, b := range all {
		if b.element != element || b.follows {
			continue
		}
		for _, next := range all[i+1:] {
			if !next.follows {
				break
			}
			b.to = next.to // with what is said of it between
		}
		before, after := l.text[lineBegin(l.text, max(0, b.from-1)):b.from], l.text[b.to:lineEnd(l.text, b.to)]
		if len(bytes.TrimSpace(before)) == 0 && len(bytes.TrimSpace(after)) == 0 {
			b.to += len(after)
		}
		splices = append(splices, splice{b.from, b.to, ""})
	}
	return splices
}

// change changes what differs in a table.
func (l layout) change(e edit, all []block, element int, t *table) (splices []splice) {
	all = slices.Clone(all)
	all = slices.DeleteFunc(all, func(b block) bool { return b.element != element })
	main := all[0]
	at, indent := lineEnd(l.text, main.from), ""
	if n := len(main.keys); n > 0 {
		last := main.keys[n-1]
		at = last.to
		line := l.text[last.from:last.to]
		indent = string(line[:len(line)-len(bytes.TrimLeft(line, " \t"))])
	}
	has := e.written(t)
	var added []string
	for _, key := range keysOf(e.form) {
		was, isThere := t.items[key]
		wanted, isWanted := e.items[key]
		old, read := has[key]
		if same(old, wanted) && read == isWanted || isThere && isWanted && same(was, wanted) || !isThere && !isWanted {
			continue
		}
		if k, ok := onlyLine(all, key); ok && isWanted {
			splices = append(splices, splice{k.value[0], k.value[1], valueText(wanted)})
			continue
		}
		splices = append(splices, l.without(all, key)...)
		if isWanted {
			added = append(added, fmt.Sprintf("%s%s = %s%s", indent, key, valueText(wanted), l.newline))
		}
	}
	if added != nil {
		splices = append(splices, l.line(at, strings.Join(added, "")))
	}
	return splices
}

// onlyLine is the line of a key whose value stands in one place.
func onlyLine(all []block, key string) (only keyLine, ok bool) {
	n := 0
	for _, b := range all {
		if b.within == key {
			n++
		}
		for _, k := range b.keys {
			if b.within == "" && k.key == key {
				only = k
				n++
			}
		}
	}
	return only, n == 1 && only.key != "" && !only.dotted
}

// without takes a key out, wherever parts of it are.
func (l layout) without(all []block, key string) (splices []splice) {
	taken := map[int]splice{}
	for _, b := range all {
		if b.within == key {
			taken[b.from] = splice{b.from, b.to, ""}
		}
		for _, k := range b.keys {
			if b.within == "" && k.key == key {
				taken[k.from] = splice{k.from, k.to, ""}
			}
		}
	}
	for _, from := range slices.Sorted(maps.Keys(taken)) {
		splices = append(splices, taken[from])
	}
	return splices
}

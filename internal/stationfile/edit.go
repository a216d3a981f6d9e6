package stationfile

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"ionoscribe/internal/alerts"
)

// edit says how a table of an array of tables, which has a name, is to be.
type edit struct {
	array string // receiver or alert
	name  string // of the table; if there is none of this name, one is added
	form  reflect.Type
	items map[string]any // all that it is to have; nil: it is to be gone

	written func(*table) map[string]any // what a table has of the form, in the same words as items
}

func receiverEdit(name string, r *ReceiverTable) edit {
	e := edit{array: "receiver", name: name, form: reflect.TypeFor[ReceiverTable]()}
	if r != nil {
		e.items = itemsOf(r)
	}
	e.written = func(t *table) map[string]any { return itemsOf(t.receiverTable()) }
	return e
}

func alertEdit(name string, r *alerts.Rule) edit {
	e := edit{array: "alert", name: name, form: reflect.TypeFor[alerts.Rule]()}
	if r != nil {
		e.items = itemsOf(r)
	}
	e.written = func(t *table) map[string]any { return itemsOf(t.rule()) }
	return e
}

// ErrNoTable says that there is nothing to be removed.
var ErrNoTable = errors.New("there is none of this name in station.toml")

// errByHand is of texts that are TOML, but not of the usual form.
var errByHand = errors.New("this part of station.toml is written in an unusual form; change it there, by hand")

// splice puts another text in the place of a part of one.
type splice struct {
	from, to int
	text     string
}

// apply makes an edit to a text, and gives where the table stands in the result. What is outside of the table stays as it is, and
// so do comments, order and form of all in it that does not change.
func (e edit) apply(text []byte) (result []byte, from, to int, err error) {
	d, err := parse(Name, text)
	if err != nil {
		return nil, 0, 0, err
	}
	at := -1
	tables := d.table("", d.root).tables(e.array)
	for i, t := range tables {
		if name, _ := scalar(t.items["name"]); name == e.name || strings.TrimSpace(name) == e.name {
			at = i
			break
		}
	}
	all := blocks(text, e.array)
	if n := len(all); len(tables) > 0 && (n == 0 || all[n-1].element != len(tables)-1) || d.root[e.array] != nil && tables == nil {
		return nil, 0, 0, errByHand
	}
	l := layout{text: text, newline: "\n"}
	if bytes.Contains(text, []byte("\r\n")) {
		l.newline = "\r\n"
	}
	var splices []splice
	switch {
	case at < 0 && e.items == nil:
		return nil, 0, 0, ErrNoTable
	case at < 0:
		splices = []splice{l.add(e, all)}
	case e.items == nil:
		splices = l.remove(all, at)
	default:
		splices = l.change(e, all, at, tables[at])
	}
	result = spliced(text, splices)
	if !e.done(d.root, at, result) {
		return nil, 0, 0, errByHand
	}
	from, to = e.place(result, at)
	return result, from, to, nil
}

// spliced makes splices, which are in order where they are at the same place.
func spliced(text []byte, all []splice) (result []byte) {
	slices.SortStableFunc(all, func(a, b splice) int { return a.from - b.from })
	at := 0
	for _, s := range all {
		result = append(append(result, text[at:max(at, s.from)]...), s.text...)
		at = max(at, s.to)
	}
	return append(result, text[at:]...)
}

// done says whether a text has what another one had, and what the edit asks for.
func (e edit) done(before map[string]any, at int, text []byte) bool {
	after := map[string]any{}
	if toml.Unmarshal(text, &after) != nil {
		return false
	}
	old, _ := before[e.array].([]any)
	now, _ := after[e.array].([]any)
	switch {
	case e.items == nil:
		old = slices.Delete(slices.Clone(old), at, at+1)
	case at < 0:
		old = append(slices.Clone(old), e.items)
	default:
		items, _ := old[at].(map[string]any)
		wanted := maps.Clone(items)
		for _, key := range keysOf(e.form) {
			delete(wanted, key)
		}
		maps.Copy(wanted, e.items)
		old = slices.Clone(old)
		old[at] = wanted
		if at < len(now) { // a value that means the same may be written in another way
			if items, ok := now[at].(map[string]any); ok {
				t := (&document{root: map[string]any{}}).table("", items)
				has := e.written(t)
				for _, key := range keysOf(e.form) {
					delete(items, key)
				}
				maps.Copy(items, has)
			}
		}
	}
	delete(after, e.array)
	rest := maps.Clone(before)
	delete(rest, e.array)
	return reflect.DeepEqual(rest, after) && slices.EqualFunc(old, now, same)
}

// place is where a table stands, from its header to its last key.
func (e edit) place(text []byte, at int) (from, to int) {
	all := blocks(text, e.array)
	if e.items == nil || len(all) == 0 {
		return 0, 0
	}
	if at < 0 {
		at = all[len(all)-1].element
	}
	from = -1
	for _, b := range all {
		if b.element == at {
			if from < 0 {
				from = b.from
			}
			to = b.to
		}
	}
	return max(0, from), to
}

// newTable is a table of the edit's own.
func (e edit) newTable(newline string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "[[%s]]%s", e.array, newline)
	for _, key := range keysOf(e.form) {
		if v, ok := e.items[key]; ok {
			fmt.Fprintf(&b, "%s = %s%s", key, valueText(v), newline)
		}
	}
	return b.String()
}

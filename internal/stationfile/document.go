package stationfile

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"ionoscribe/internal/fault"
)

// document is a TOML file, what is wrong with it, and where its keys and values stand.
type document struct {
	file     string
	text     []byte
	root     map[string]any
	keys     map[string]int // offsets, by paths such as receiver[1].hours[0]
	values   map[string]int
	problems fault.Problems
}

// parse reads a text; it fails if it is not TOML.
func parse(file string, text []byte) (*document, error) {
	d := &document{file: file, text: text, root: map[string]any{}, keys: map[string]int{}, values: map[string]int{}}
	if err := toml.Unmarshal(text, &d.root); err != nil {
		p := fault.Problem{File: file, Message: "it is not TOML: " + strings.TrimPrefix(err.Error(), "toml: "), Mend: "see the comments of a new station.toml, or toml.io"}
		if wrong, ok := errors.AsType[*toml.DecodeError](err); ok {
			p.Line, p.Column = wrong.Position()
		}
		return nil, fault.Problems{p}
	}
	d.locate()
	return d, nil
}

// locate finds out where keys and values stand.
func (d *document) locate() {
	var p unstable.Parser
	p.Reset(d.text)
	table := ""
	elements := map[string]int{} // of arrays of tables
	for p.NextExpression() {
		switch e := p.Expression(); e.Kind {
		case unstable.KeyValue:
			d.locateValue(table, e)
		case unstable.Table, unstable.ArrayTable:
			table = ""
			for it := e.Key(); it.Next(); {
				table = join(table, string(it.Node().Data))
				last := it.IsLast()
				if last && e.Kind == unstable.ArrayTable {
					elements[table]++
				}
				if last && elements[table] <= 1 {
					d.keys[table] = int(it.Node().Raw.Offset)
				}
				if n := elements[table]; n > 0 {
					table = element(table, n-1)
				}
				if last {
					d.keys[table] = int(it.Node().Raw.Offset)
				}
			}
		}
	}
}

// locateValue does so for a key and all that is in its value.
func (d *document) locateValue(table string, e *unstable.Node) {
	path, end := table, 0
	for it := e.Key(); it.Next(); {
		path = join(path, string(it.Node().Data))
		raw := it.Node().Raw
		d.keys[path], end = int(raw.Offset), int(raw.Offset+raw.Length)
	}
	value := bytes.TrimLeft(d.text[end:], " \t=")
	d.locateIn(path, e.Value(), len(d.text)-len(value))
}

func (d *document) locateIn(path string, v *unstable.Node, at int) {
	if v.Raw.Length > 0 { // arrays have none
		at = int(v.Raw.Offset)
	}
	d.values[path] = at
	i := 0
	for it := v.Children(); it.Next(); {
		switch n := it.Node(); {
		case n.Kind == unstable.Comment:
		case v.Kind == unstable.Array:
			d.locateIn(element(path, i), n, at)
			i++
		case v.Kind == unstable.InlineTable:
			d.locateValue(path, n)
		}
	}
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

func element(path string, i int) string { return fmt.Sprintf("%s[%d]", path, i) }

// wrong notes what is wrong with the value of a path.
func (d *document) wrong(path, mend, message string, args ...any) {
	at, ok := d.values[path]
	if !ok {
		d.wrongKey(path, mend, message, args...)
		return
	}
	d.note(at, mend, message, args...)
}

// wrongKey notes what is wrong with a key, or with the table in which it is not.
func (d *document) wrongKey(path, mend, message string, args ...any) {
	for path != "" {
		if at, ok := d.keys[path]; ok {
			d.note(at, mend, message, args...)
			return
		}
		path = path[:max(0, strings.LastIndexAny(path, ".["))]
	}
	d.note(0, mend, message, args...)
}

func (d *document) note(at int, mend, message string, args ...any) {
	before := d.text[:at]
	d.problems = append(d.problems, fault.Problem{
		File: d.file, Line: 1 + bytes.Count(before, []byte("\n")), Column: at - bytes.LastIndexByte(before, '\n'),
		Message: fmt.Sprintf(message, args...), Mend: mend,
	})
}

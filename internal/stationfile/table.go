package stationfile

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"ionoscribe/internal/nearest"
)

// table is a table of a document. Its known keys are those that were asked for.
type table struct {
	*document
	path  string
	items map[string]any
	known []string
}

func (d *document) table(path string, items map[string]any) *table {
	return &table{document: d, path: path, items: items}
}

// at is the path of a key.
func (t *table) at(key string) string { return join(t.path, key) }

func (t *table) get(key string) (any, bool) {
	t.known = append(t.known, key)
	v, ok := t.items[key]
	return v, ok
}

// text is a value that is a text, or may be written without quotes: a number, a day, a time.
func (t *table) text(key string) string {
	v, ok := t.get(key)
	if !ok {
		return ""
	}
	s, ok := scalar(v)
	if !ok {
		t.wrong(t.at(key), "", "%s is not a text", key)
	}
	return strings.TrimSpace(s)
}

// texts is a list of texts, or one text; nil if the key is not there.
func (t *table) texts(key string) []string {
	v, ok := t.get(key)
	if !ok {
		return nil
	}
	list, ok := v.([]any)
	if !ok {
		list = []any{v}
	}
	all := []string{}
	for i, v := range list {
		s, ok := scalar(v)
		if !ok {
			t.wrong(element(t.at(key), i), "", "%s is neither a text nor a list of them", key)
			return all
		}
		all = append(all, s)
	}
	return all
}

// where is the path of an element of texts.
func (t *table) where(key string, i int) string {
	if _, ok := t.items[key].([]any); ok {
		return element(t.at(key), i)
	}
	return t.at(key)
}

// table is a table within this one; nil if it is not there.
func (t *table) table(key string) *table {
	v, ok := t.get(key)
	if !ok {
		return nil
	}
	items, ok := v.(map[string]any)
	if !ok {
		t.wrongKey(t.at(key), fmt.Sprintf("write [%s]", t.at(key)), "%s is not a table", key)
		return nil
	}
	return t.document.table(t.at(key), items)
}

// tables are those of an array of them.
func (t *table) tables(key string) (all []*table) {
	v, ok := t.get(key)
	if !ok {
		return nil
	}
	list, ok := v.([]any)
	for i, v := range list {
		items, isTable := v.(map[string]any)
		if ok = ok && isTable; !ok {
			break
		}
		all = append(all, t.document.table(element(t.at(key), i), items))
	}
	if !ok {
		t.wrongKey(t.at(key), fmt.Sprintf("write [[%s]] before each", key), "%s is not a list of tables", key)
		return nil
	}
	return all
}

// onlyKnown notes the keys that nobody asked for; it says whether there were none.
func (t *table) onlyKnown() (ok bool) {
	ok = true
	for _, key := range slices.Sorted(maps.Keys(t.items)) {
		if !slices.Contains(t.known, key) {
			t.unknown(t.at(key), key, t.known)
			ok = false
		}
	}
	return ok
}

func (d *document) unknown(path, key string, known []string) {
	mend := nearest.DidYouMean(key, known)
	if mend == "" {
		mend = "there are: " + strings.Join(known, ", ")
	}
	d.wrongKey(path, mend, "%q is not known", key)
}

// scalar is a value as it was written.
func scalar(v any) (string, bool) {
	switch v := v.(type) {
	case string:
		return v, true
	case int64:
		return strconv.FormatInt(v, 10), true
	case float64:
		return strconv.FormatFloat(v, 'f', -1, 64), true
	case bool:
		return strconv.FormatBool(v), true
	case toml.LocalDate:
		return v.String(), true
	case toml.LocalTime:
		return strings.TrimSuffix(v.String(), ":00"), true
	}
	return "", false
}

// decode sets fields of a struct that another package owns, key by key, so that all that is wrong is known.
func (t *table) decode(to any) (ok bool) {
	before := len(t.problems)
	of := reflect.TypeOf(to)
	for _, key := range slices.Sorted(maps.Keys(t.items)) {
		v := t.items[key]
		if s, ok := scalar(v); ok && readsText(typeAt(of, []string{key})) {
			v = s // a number without its unit would be taken as it is
		}
		text, err := toml.Marshal(map[string]any{key: v})
		if err == nil {
			err = toml.NewDecoder(bytes.NewReader(text)).DisallowUnknownFields().Decode(to)
		}
		missing, isMissing := errors.AsType[*toml.StrictMissingError](err)
		switch {
		case err == nil:
		case isMissing:
			for _, m := range missing.Errors {
				path := m.Key()
				t.unknown(t.at(strings.Join(path, ".")), path[len(path)-1], keysOf(typeAt(of, path[:len(path)-1])))
			}
		default:
			path := []string{key}
			if wrong, ok := errors.AsType[*toml.DecodeError](err); ok && len(wrong.Key()) > 0 {
				path = wrong.Key()
			}
			message, mend, _ := strings.Cut(strings.TrimPrefix(err.Error(), "toml: "), "; ")
			if m := mismatch.FindStringSubmatch(message); m != nil {
				message, mend = "the value is of the wrong kind, "+m[1], "write "+kindName(typeAt(of, path))
			}
			t.wrong(t.at(strings.Join(path, ".")), mend, "%s: %s", path[len(path)-1], message)
		}
	}
	return len(t.problems) == before
}

// mismatch is what the library says of a value of another kind.
var mismatch = regexp.MustCompile(`cannot decode TOML (\w+(?: \w+)?) into`)

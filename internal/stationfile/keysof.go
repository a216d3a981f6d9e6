package stationfile

import (
	"encoding"
	"reflect"
	"strings"
)

// typeAt is the type of what a struct has at a path of keys; nil if there is none.
func typeAt(of reflect.Type, path []string) reflect.Type {
	for {
		for of.Kind() == reflect.Pointer || of.Kind() == reflect.Slice && len(path) > 0 {
			of = of.Elem()
		}
		if len(path) == 0 {
			return of
		}
		if of.Kind() != reflect.Struct {
			return nil
		}
		var next reflect.Type
		for i := range of.NumField() {
			if f := of.Field(i); keyOf(f) == path[0] {
				next = f.Type
			}
		}
		if next == nil {
			return nil
		}
		of, path = next, path[1:]
	}
}

// keysOf are the keys that a struct takes; none if it is not one.
func keysOf(t reflect.Type) (keys []string) {
	if t == nil || t.Kind() != reflect.Struct {
		return nil
	}
	for i := range t.NumField() {
		if key := keyOf(t.Field(i)); key != "" {
			keys = append(keys, key)
		}
	}
	return keys
}

func keyOf(f reflect.StructField) string {
	key, _, _ := strings.Cut(f.Tag.Get("toml"), ",")
	return key
}

// readsText says that a type has a form of its own as text.
func readsText(t reflect.Type) bool {
	return t != nil && reflect.PointerTo(t).Implements(reflect.TypeFor[encoding.TextUnmarshaler]())
}

// kindName is what a user writes for a type.
func kindName(t reflect.Type) string {
	switch {
	case t == nil || readsText(t):
	case t.Kind() == reflect.Slice:
		return "a list, [ ], of which each is " + kindName(t.Elem())
	case t.Kind() == reflect.Bool:
		return "true or false"
	case t.Kind() == reflect.Struct:
		return "a table, { }, with " + strings.Join(keysOf(t), ", ")
	case t.Kind() == reflect.Float64:
		return "a number"
	}
	return "a text in quotes"
}

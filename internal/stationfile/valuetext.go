package stationfile

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// valueText is a value as TOML has it, in a line.
func valueText(v any) string {
	switch v := v.(type) {
	case string:
		return stringText(v)
	case []any:
		parts := make([]string, len(v))
		for i := range v {
			parts[i] = valueText(v[i])
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case map[string]any:
		var parts []string
		for _, key := range slices.Sorted(maps.Keys(v)) {
			parts = append(parts, key+" = "+valueText(v[key]))
		}
		return "{ " + strings.Join(parts, ", ") + " }"
	case float64:
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	return fmt.Sprint(v)
}

// stringText is a basic string, which is what the template has.
func stringText(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < ' ' || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// same says whether two values mean the same: numbers may stand without quotes, and one text for a list of one.
func same(a, b any) bool {
	if x, ok := scalar(a); ok {
		if y, ok := scalar(b); ok {
			return x == y
		}
		a = []any{a}
	}
	if _, ok := scalar(b); ok {
		b = []any{b}
	}
	switch a := a.(type) {
	case []any:
		b, ok := b.([]any)
		return ok && slices.EqualFunc(a, b, same)
	case map[string]any:
		b, ok := b.(map[string]any)
		return ok && maps.EqualFunc(a, b, same)
	}
	return false
}

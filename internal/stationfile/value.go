package stationfile

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// pairsOf are the keys and values of a struct as a file may have them.
func pairsOf(v any) (map[string]any, error) {
	text, err := toml.Marshal(v)
	if err != nil {
		return nil, err
	}
	pairs := map[string]any{}
	return pairs, toml.Unmarshal(text, &pairs)
}

// valueText is a value as it is written, in one line.
func valueText(v any) string {
	switch v := v.(type) {
	case string:
		return textText(v)
	case float64:
		return strconv.FormatFloat(v, 'f', -1, 64)
	case []any:
		parts := make([]string, len(v))
		for i, x := range v {
			parts[i] = valueText(x)
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case map[string]any:
		var parts []string
		for _, key := range slices.Sorted(maps.Keys(v)) {
			parts = append(parts, key+" = "+valueText(v[key]))
		}
		return "{ " + strings.Join(parts, ", ") + " }"
	}
	return fmt.Sprint(v) // whole numbers, true and false
}

// textText is a text in double quotes.
func textText(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range strings.ToValidUTF8(s, "\uFFFD") {
		switch {
		case r == '"' || r == '\\':
			b.WriteRune('\\')
			b.WriteRune(r)
		case r < ' ' || r == 0x7F:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

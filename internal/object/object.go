// Package object writes JSON objects of parts that do not know each other.
package object

import (
	"bytes"
	"encoding/json"
)

// Join is one object of the keys of several parts, structs or maps that share none; nil has none.
func Join(parts ...any) ([]byte, error) {
	all := []byte("{")
	for _, p := range parts {
		if p == nil {
			continue
		}
		b, err := json.Marshal(p)
		if err != nil {
			return nil, err
		}
		keys := bytes.TrimSuffix(bytes.TrimPrefix(b, []byte("{")), []byte("}"))
		if len(keys) > 0 && len(all) > 1 {
			all = append(all, ',')
		}
		all = append(all, keys...)
	}
	return append(all, '}'), nil
}

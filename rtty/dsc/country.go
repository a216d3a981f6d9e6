package dsc

import (
	_ "embed"
	"strings"
)

//go:embed countries.csv
var countryTable string

var countries = func() map[string]string {
	all := map[string]string{}
	for line := range strings.Lines(countryTable) {
		if digits, name, ok := strings.Cut(strings.TrimSpace(line), ","); ok && line[0] != '#' {
			all[digits] = name
		}
	}
	return all
}()

// Country is that of the nine digits of an identity; "" if it is not known. Coast stations begin with 00, groups with 0, aircraft
// with 111, craft of a ship with 98 and aids to navigation with 99, all before the digits of the country (ITU-R M.585, from memory).
func Country(identity string) string {
	for _, before := range []string{"00", "0", "111", "98", "99", ""} {
		if after, ok := strings.CutPrefix(identity, before); ok && len(after) >= 3 {
			return countries[after[:3]]
		}
	}
	return ""
}

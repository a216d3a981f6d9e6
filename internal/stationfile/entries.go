package stationfile

import (
	"bufio"
	"io"
	"slices"
	"strings"

	"ionoscribe/internal/programme"
)

// lists are the columns of an entry that are lists, without quotes and spaces in them.
var lists = []string{"times", "receivers", "except", "also"}

// WriteEntries writes entries as they stand in a station.toml, [[programme]] before each.
func WriteEntries(w io.Writer, entries []programme.Entry) error {
	b := bufio.NewWriter(w)
	for i := range entries {
		if i > 0 {
			b.WriteString("\n")
		}
		b.WriteString("[[programme]]\n")
		for _, column := range programme.Columns() {
			text := programme.Text(&entries[i], column)
			switch {
			case text == "":
				continue
			case slices.Contains(lists, column):
				text = `["` + strings.ReplaceAll(text, " ", `", "`) + `"]`
			default:
				text = quoted(text)
			}
			b.WriteString(column + " = " + text + "\n")
		}
	}
	return b.Flush()
}

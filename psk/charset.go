package psk

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// DefaultCharset is the character set of a configuration that names none: ISO 8859-1, with signs such as the euro in place of controls
// that nobody sends.
const DefaultCharset = "windows-1252"

const utf8Name = "utf-8"

// Charset says what characters the 256 codes are, on which sender and receiver agree. The first 128 are ASCII in all sets.
type Charset struct {
	name  string
	table *charmap.Charmap // nil: UTF-8
}

// charsets are all that are ASCII in their first half.
var charsets = func() (all []*Charset) {
	all = append(all, &Charset{name: utf8Name})
	for _, e := range charmap.All {
		table, ok := e.(*charmap.Charmap)
		if !ok || e == charmap.XUserDefined {
			continue
		}
		ascii := true
		for b := range byte(utf8.RuneSelf) {
			ascii = ascii && table.DecodeByte(b) == rune(b)
		}
		if ascii { // which those of mainframes (EBCDIC) are not
			name := strings.ReplaceAll(table.String(), "Code Page ", "")
			all = append(all, &Charset{strings.ToLower(strings.ReplaceAll(name, " ", "-")), table})
		}
	}
	return all
}()

// CharsetNames are those of all character sets.
func CharsetNames() (names []string) {
	for _, c := range charsets {
		names = append(names, c.name)
	}
	return names
}

// FindCharset is the character set of a name, in capital or small letters; "" is [DefaultCharset].
func FindCharset(name string) (*Charset, error) {
	if name == "" {
		name = DefaultCharset
	}
	for _, c := range charsets {
		if strings.EqualFold(name, c.name) {
			return c, nil
		}
	}
	return nil, fmt.Errorf("phase telegraphy: character set %q is unknown; it may be %s", name, strings.Join(CharsetNames(), ", "))
}

// Bytes are those by which a text is sent. It fails if the set lacks some of its characters.
func (c *Charset) Bytes(text string) ([]byte, error) {
	if !utf8.ValidString(text) {
		return nil, errors.New("phase telegraphy: the text is not UTF-8; convert it")
	}
	if c.table == nil {
		return []byte(text), nil
	}
	var out []byte
	var lacking []string
	seen := map[rune]bool{}
	for _, r := range text {
		b, ok := c.table.EncodeRune(r)
		if !ok && !seen[r] {
			seen[r] = true
			lacking = append(lacking, fmt.Sprintf("%q", r))
		}
		out = append(out, b)
	}
	if lacking != nil {
		return nil, fmt.Errorf("phase telegraphy: character set %s has no %s; choose one that has, such as %s", c.name, strings.Join(lacking, ", "), utf8Name)
	}
	return out, nil
}

// prints says that a byte is a character, or may be a part of one, and no control but a new line.
func (c *Charset) prints(b byte) bool {
	switch {
	case b < utf8.RuneSelf:
		return b >= ' ' && b < 127 || b == '\r' || b == '\n'
	case c.table == nil: // 0xc0, 0xc1 and what is above 0xf4 are in no character (Unicode, table 3-7)
		return b < 0xc0 || b >= 0xc2 && b <= 0xf4
	}
	return shown(c.table.DecodeByte(b))
}

// shown is whether a character can be shown: neither a control nor one that turns the direction of text, nor none at all.
func shown(r rune) bool { return r == '\n' || unicode.IsGraphic(r) && r != utf8.RuneError }

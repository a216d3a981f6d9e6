package archive

import (
	"encoding/binary"
	"errors"
	"math"
	"strings"
	"time"
)

// The characters of a line in the database, beside its text: for each
//
//	varint   milliseconds since the character before, or since the line's beginning
//	byte     confidence, 255 being 1
//	uvarint  bytes of its text << 3 | number of alternatives, 7 at most
//	for each alternative a uvarint, the bytes of its text, and that

const mostAlternatives = 7

func packChars(begun time.Time, chars []Char) []byte {
	b := make([]byte, 0, 4*len(chars))
	last := begun.UnixMilli()
	for _, c := range chars {
		at := c.At.UnixMilli()
		b = binary.AppendVarint(b, at-last)
		last = at
		b = append(b, byte(math.Round(255*unit(c.Confidence))))
		others := c.Alternatives[:min(len(c.Alternatives), mostAlternatives)]
		b = binary.AppendUvarint(b, uint64(len(c.Text))<<3|uint64(len(others)))
		for _, a := range others {
			b = binary.AppendUvarint(b, uint64(len(a)))
			b = append(b, a...)
		}
	}
	return b
}

// unit brings x between 0 and 1; NaN is 0.
func unit(x float64) float64 {
	if !(x > 0) {
		return 0
	}
	return min(x, 1)
}

var errChars = errors.New("the characters of a line are damaged")

func unpackChars(begun time.Time, text string, b []byte) ([]Char, error) {
	var chars []Char
	at := begun.UnixMilli()
	uvarint := func() (int, bool) {
		v, n := binary.Uvarint(b)
		if n <= 0 || v > 1<<20 {
			return 0, false
		}
		b = b[n:]
		return int(v), true
	}
	for len(b) > 0 {
		d, n := binary.Varint(b)
		if n <= 0 || len(b) == n {
			return chars, errChars
		}
		at += d
		c := Char{At: time.UnixMilli(at).UTC(), Confidence: float64(b[n]) / 255}
		b = b[n+1:]
		v, ok := uvarint()
		if !ok || v>>3 > len(text) {
			return chars, errChars
		}
		c.Text, text = text[:v>>3], text[v>>3:]
		for range v & 7 {
			n, ok := uvarint()
			if !ok || n > len(b) {
				return chars, errChars
			}
			c.Alternatives = append(c.Alternatives, string(b[:n]))
			b = b[n:]
		}
		chars = append(chars, c)
	}
	if text != "" {
		return chars, errChars
	}
	return chars, nil
}

// textOf is the text of characters.
func textOf(chars []Char) string {
	var b strings.Builder
	for _, c := range chars {
		b.WriteString(c.Text)
	}
	return b.String()
}

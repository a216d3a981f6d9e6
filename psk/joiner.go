package psk

import "unicode/utf8"

// joiner makes characters of bytes.
type joiner struct {
	charset *Charset
	bytes   [utf8.UTFMax]byte // the beginning of a character
	count   int
	first   spelled // its first byte, with the confidence of the least sure one
	out     [2]joined
}

// joined is a character.
type joined struct {
	at         int64
	char       rune
	confidence float64 // of the least sure of its bytes
}

// add takes a byte. What it gives is good until the next call.
func (j *joiner) add(s spelled) []joined {
	out := j.out[:0]
	if t := j.charset.table; t != nil {
		return append(out, joined{s.at, t.DecodeByte(s.char), s.confidence})
	}
	if utf8.RuneStart(s.char) {
		out = j.rest(out)
	}
	if j.count == 0 {
		j.first = s
	}
	j.bytes[j.count] = s.char
	j.count++
	j.first.confidence = min(j.first.confidence, s.confidence)
	begun := j.bytes[:j.count]
	if !utf8.FullRune(begun) {
		return out
	}
	r, n := utf8.DecodeRune(begun)
	if n < j.count || !shown(r) { // it cannot become a character that is shown
		return j.rest(out)
	}
	j.count = 0
	return append(out, joined{j.first.at, r, j.first.confidence})
}

// rest appends one replacement character for what has begun, when nothing more of it comes.
func (j *joiner) rest(out []joined) []joined {
	if j.count == 0 {
		return out
	}
	j.count = 0
	return append(out, joined{j.first.at, utf8.RuneError, j.first.confidence})
}

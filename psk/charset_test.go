package psk

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// Letters by their bytes: ISO/IEC 8859-1, -2, -5 and -15, KOI8-R (RFC 1489), and the code pages 1250 to 1252.
func TestCharsets(t *testing.T) {
	for _, c := range []struct {
		name, text string
		bytes      []byte
	}{
		{"", "aä€", []byte{'a', 0xe4, 0x80}},
		{"ISO-8859-1", "äéñ", []byte{0xe4, 0xe9, 0xf1}},
		{"iso-8859-2", "ąř", []byte{0xb1, 0xf8}},
		{"iso-8859-5", "Ж", []byte{0xb6}},
		{"iso-8859-15", "€", []byte{0xa4}},
		{"koi8-r", "Привет", []byte{0xf0, 0xd2, 0xc9, 0xd7, 0xc5, 0xd4}},
		{"windows-1250", "š", []byte{0x9a}},
		{"windows-1251", "Ж", []byte{0xc6}},
		{"utf-8", "ä€", []byte{0xc3, 0xa4, 0xe2, 0x82, 0xac}},
	} {
		set, err := FindCharset(c.name)
		if err != nil {
			t.Fatal(err)
		}
		got, err := set.Bytes(c.text)
		if err != nil || !slices.Equal(got, c.bytes) {
			t.Errorf("%s: %q is % x, want % x (%v)", c.name, c.text, got, c.bytes, err)
		}
		if back, _ := joinAll(set, got); back != c.text {
			t.Errorf("%s: %q comes back as %q", c.name, c.text, back)
		}
		for _, b := range got {
			if !set.prints(b) {
				t.Errorf("%s: %x is not printed", c.name, b)
			}
		}
	}
	latin, err := FindCharset("iso-8859-1")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := latin.Bytes("Жaя, ЖЖ"); err == nil || !strings.Contains(err.Error(), "'Ж', 'я';") {
		t.Error(err)
	}
	if _, err := latin.Bytes("\xff"); err == nil {
		t.Error("what is no UTF-8 is sent")
	}
	if _, err := FindCharset("ibm-037"); err == nil || !strings.Contains(err.Error(), "koi8-r") {
		t.Error(err)
	}
	for _, b := range []byte{0, 7, 127, 0x85} {
		if latin.prints(b) {
			t.Errorf("control %x is printed", b)
		}
	}
}

// joinAll is the text of bytes, and the confidence of each character if that of the bytes falls by a hundredth each.
func joinAll(set *Charset, text []byte) (got string, sure []float64) {
	j := joiner{charset: set}
	add := func(list []joined) {
		for _, c := range list {
			got += string(c.char)
			sure = append(sure, c.confidence)
		}
	}
	for i, b := range text {
		add(j.add(spelled{int64(i), b, 1 - float64(i)/100}))
	}
	add(j.rest(nil))
	return got, sure
}

// A sequence that is broken is one replacement character, whose confidence is that of its least sure byte.
func TestBrokenUTF8(t *testing.T) {
	set, err := FindCharset("utf-8")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		sent, want string
		sure       []float64
	}{
		{"a\xe2\x82\xacb", "a€b", []float64{1, 0.97, 0.96}},
		{"\xe2\x82b", "\ufffdb", []float64{0.99, 0.98}},
		{"\xe2\xc3\xa4", "\ufffdä", []float64{1, 0.98}},
		{"\x82b", "\ufffdb", []float64{1, 0.99}},
		{"b\xe2\x82", "b\ufffd", []float64{1, 0.98}},
		{"\xc2\x9b", "\ufffd", []float64{0.99}}, // a control
	} {
		got, sure := joinAll(set, []byte(c.sent))
		if got != c.want || !slices.Equal(sure, c.sure) {
			t.Errorf("%q: %q %v, want %q %v", c.sent, got, sure, c.want, c.sure)
		}
	}
}

// Whatever bytes come, characters do that can be shown, and what is UTF-8 comes as it is.
func FuzzJoin(f *testing.F) {
	f.Add([]byte("ä€ \xf0\x9f\x98"), 0)
	f.Add([]byte("\xc2\x9b\xed\xa0\x80"), 3)
	f.Fuzz(func(t *testing.T, text []byte, number int) {
		set := charsets[uint(number)%uint(len(charsets))]
		text = slices.DeleteFunc(text, func(b byte) bool { return b == '\r' || !set.prints(b) }) // as the speller does
		got, _ := joinAll(set, text)
		for _, r := range got {
			if !shown(r) && r != utf8.RuneError {
				t.Errorf("%q", r)
			}
		}
		if set.table == nil && utf8.Valid(text) && !strings.ContainsFunc(string(text), func(r rune) bool { return !shown(r) }) && got != string(text) {
			t.Errorf("%q for %q", got, text)
		}
	})
}

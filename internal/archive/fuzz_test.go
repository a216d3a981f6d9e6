package archive

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"
)

// Whatever is searched for, it is searched for or refused in a sentence: the database never sees a mistake.
func FuzzQuery(f *testing.F) {
	for _, s := range []string{"gale warning", `"gale warning"`, "~gale -sea", "met* -~x", `a"b"c`, `""`, `"a`, "-", "~", "*", "AND OR NOT NEAR(a b)", "text : x", "a^b", "{a b}", "(a", "ʘǃ", "\x00\xff", "é́", "١٢٣", "🌊", "x-y_z/59", strings.Repeat("a ", 100), "a\u2028b"} {
		f.Add(s, s)
	}
	a, err := Open(f.TempDir(), Options{})
	must(f, err)
	defer a.Close()
	hear(a, "north", "rtty", noon, "GALE ⌊Z⌋ARNING OSTREL SEA\nWIND SW 8")
	flush(f, a)
	f.Fuzz(func(t *testing.T, words, title string) {
		_, err := a.Search(context.Background(), Query{Words: words, Title: title})
		var wrong *errWords
		if err != nil && (!errors.As(err, &wrong) || strings.Contains(err.Error(), "\n")) {
			t.Errorf("%q %q: %v", words, title, err)
		}
		if (CheckWords(words) == nil && CheckWords(title) == nil) != (err == nil) {
			t.Errorf("%q %q: %v", words, title, err)
		}
	})
}

// What is read of a line's characters makes up its text, or is damaged.
func FuzzChars(f *testing.F) {
	chars := []Char{{At: noon, Text: "G", Confidence: 0.5}, {At: noon.Add(time.Second), Text: "<SK>", Alternatives: []string{"A", ""}}, {At: noon.Add(-time.Hour), Text: "é", Confidence: 1}}
	f.Add(textOf(chars), packChars(noon, chars))
	f.Add("", []byte{})
	f.Fuzz(func(t *testing.T, text string, b []byte) {
		got, err := unpackChars(noon, text, b)
		if err == nil && textOf(got) != text {
			t.Errorf("%q %q", text, textOf(got))
		}
	})
}

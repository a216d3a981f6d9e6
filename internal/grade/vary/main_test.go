package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// A number in a const declaration is found by name, multiplied, and put back where it was.
func TestConstants(t *testing.T) {
	dir := t.TempDir()
	source := "package p\n\nconst (\n\tfirst, second = 0.5, 3 // seconds\n\tthird = first * 2\n)\n\nfunc f() { const fourth = 10 }\n"
	if err := os.WriteFile(filepath.Join(dir, "p.go"), []byte(source), 0o600); err != nil {
		t.Fatal(err)
	}
	all, err := constants(dir, regexp.MustCompile("^(first|second|third|fourth)$"))
	if err != nil || len(all) != 3 {
		t.Fatal(all, err)
	}
	for i, want := range []string{"1", "6", "20"} {
		c := all[i]
		if got := c.times(2); got != want {
			t.Errorf("%s: %s, want %s", c.name, got, want)
		}
		if got, want := string(c.changed("7")), strings.Replace(source, c.text, "7", 1); i < 2 && got != want {
			t.Errorf("%s: %s", c.name, got)
		}
	}
	if got := all[1].times(0.9); got != "2" { // a whole number that would stay as it is
		t.Error(got)
	}
	if _, err := constants(dir, regexp.MustCompile("^none$")); err == nil {
		t.Error("no constant is no error")
	}
}

// Of a message the edits count, of a scene the signals that are not told as what they are and what was never sent.
func TestErrorsOf(t *testing.T) {
	for lines, want := range map[string]float64{
		`{"sent":200,"substituted":2,"inserted":1,"deleted":1}` + "\n" + `{"sent":200}`:                                                     1,
		`{"signals":[{"kind":"fax","found":{"kind":"fax"}},{"kind":"cw","found":null},{"kind":"cw","found":{"kind":"rtty"}}],"false":[{}]}`: 100,
	} {
		if got, err := errorsOf([]byte(lines)); err != nil || got != want {
			t.Error(got, err)
		}
	}
	if _, err := errorsOf(nil); err == nil {
		t.Error("nothing graded is no error")
	}
}

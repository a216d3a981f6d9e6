package scenario

import (
	"codeberg.org/go-fonts/latin-modern/lmroman10italic"
	"codeberg.org/go-fonts/latin-modern/lmroman10regular"
	"codeberg.org/go-fonts/latin-modern/lmsans10oblique"
	"codeberg.org/go-fonts/latin-modern/lmsans10regular"
	"codeberg.org/go-fonts/liberation/liberationmonoitalic"
	"codeberg.org/go-fonts/liberation/liberationmonoregular"
	"codeberg.org/go-fonts/liberation/liberationsansitalic"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-fonts/liberation/liberationserifitalic"
	"codeberg.org/go-fonts/liberation/liberationserifregular"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/gomonoitalic"
	"golang.org/x/image/font/gofont/goregular"
)

// typeface is a family of which pages are set, with its upright and its italic (or oblique) font.
type typeface struct {
	name            string
	upright, italic []byte
}

var typefaces = []typeface{
	{"Go", goregular.TTF, goitalic.TTF},
	{"Go Mono", gomono.TTF, gomonoitalic.TTF},
	{"Liberation Sans", liberationsansregular.TTF, liberationsansitalic.TTF},
	{"Liberation Serif", liberationserifregular.TTF, liberationserifitalic.TTF},
	{"Liberation Mono", liberationmonoregular.TTF, liberationmonoitalic.TTF},
	{"Latin Modern Roman", lmroman10regular.TTF, lmroman10italic.TTF},
	{"Latin Modern Sans", lmsans10regular.TTF, lmsans10oblique.TTF},
}

// Typefaces are the names of the families that a [Page] can be set in: sans, serif and monospaced ones.
func Typefaces() []string {
	names := make([]string, len(typefaces))
	for i, t := range typefaces {
		names[i] = t.name
	}
	return names
}

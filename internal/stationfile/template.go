package stationfile

import (
	"bytes"
	_ "embed"
	"strings"
	"text/template"

	"github.com/pelletier/go-toml/v2"
)

//go:embed station.toml.tmpl
var templateText string

var stationTemplate = template.Must(template.New(Name).Parse(templateText))

// Template is a station.toml with comments: of a station that listens to the first of some sources, such as device:NAME.
func Template(sources []string) []byte {
	var fill struct {
		None   bool // no source was found
		First  string
		Others []string
	}
	fill.None, fill.First = len(sources) == 0, quoted("device:default")
	for i, s := range sources {
		if i == 0 {
			fill.First = quoted(s)
		} else {
			fill.Others = append(fill.Others, quoted(s))
		}
	}
	var b bytes.Buffer
	if err := stationTemplate.Execute(&b, fill); err != nil {
		panic(err) // the template is a part of the program
	}
	return b.Bytes()
}

// quoted is a text as TOML has it, in a line.
func quoted(s string) string {
	b, err := toml.Marshal(map[string]string{"x": strings.Map(func(r rune) rune {
		if r < ' ' {
			return ' '
		}
		return r
	}, s)})
	if err != nil {
		panic(err) // texts can always be written
	}
	return strings.TrimPrefix(strings.TrimSpace(string(b)), "x = ")
}

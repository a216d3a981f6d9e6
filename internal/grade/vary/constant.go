package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
)

// constant is one whose value is a number as it stands.
type constant struct {
	name, text string // of the number
	file       string
	source     []byte
	from, to   int // where the number is in the source
}

// constants lists those of a package by name.
func constants(dir string, names *regexp.Regexp) (all []constant, err error) {
	files, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		return nil, err
	}
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		if file, err = filepath.Abs(file); err != nil {
			return nil, err
		}
		source, err := os.ReadFile(file)
		if err != nil {
			return nil, err
		}
		set := token.NewFileSet()
		tree, err := parser.ParseFile(set, file, source, parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		ast.Inspect(tree, func(n ast.Node) bool {
			d, ok := n.(*ast.GenDecl)
			if !ok || d.Tok != token.CONST {
				return true
			}
			for _, s := range d.Specs {
				s := s.(*ast.ValueSpec)
				for i, v := range s.Values {
					number, ok := v.(*ast.BasicLit)
					if !ok || number.Kind != token.INT && number.Kind != token.FLOAT || !names.MatchString(s.Names[i].Name) {
						continue
					}
					at := set.Position(number.Pos()).Offset
					all = append(all, constant{s.Names[i].Name, number.Value, file, source, at, at + len(number.Value)})
				}
			}
			return false
		})
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("no constant of %s is a number and has such a name", dir)
	}
	return all, nil
}

// times is the number times a factor; a whole number stays one, and changes.
func (c *constant) times(factor float64) string {
	if v, err := strconv.ParseInt(c.text, 0, 64); err == nil {
		w := int64(math.Round(float64(v) * factor))
		switch {
		case w == v && factor > 1:
			w++
		case w == v:
			w--
		}
		return strconv.FormatInt(w, 10)
	}
	v, err := strconv.ParseFloat(c.text, 64)
	if err != nil {
		return c.text
	}
	return strconv.FormatFloat(v*factor, 'g', 6, 64)
}

// changed is the file with another number.
func (c *constant) changed(text string) []byte {
	return append(append(append([]byte{}, c.source[:c.from]...), text...), c.source[c.to:]...)
}

package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// licenceFile is what files with terms and notices are called.
var licenceFile = regexp.MustCompile(`(?i)^(un)?(licen[cs]e|copying|notice|copyright)`)

// licences are the terms of the project, and those of all that is linked into it for a, which want to be passed on with it.
func licences(a arch, devices bool) ([]byte, error) {
	root, err := command(os.Environ(), "go", "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	list, err := command(a.environment(devices), "go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}\t{{.Dir}}{{end}}{{end}}", "./cmd/ionoscribe")
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	b.WriteString("Ionoscribe\n\n")
	own, err := os.ReadFile(filepath.Join(project, "LICENSE"))
	if err != nil {
		return nil, err
	}
	b.Write(own)
	b.WriteString("\nThe program contains the works below, each under the terms that follow its name.\n")
	lines := strings.Split(list, "\n")
	lines = append(lines, "The Go standard library\t"+strings.TrimSpace(root))
	slices.Sort(lines)
	for _, line := range slices.Compact(lines) {
		name, dir, is := strings.Cut(line, "\t")
		if !is {
			continue
		}
		files, err := os.ReadDir(dir)
		if err != nil {
			return nil, err
		}
		found := false
		for _, f := range files {
			if !f.Type().IsRegular() || !licenceFile.MatchString(f.Name()) || strings.HasSuffix(f.Name(), ".go") {
				continue
			}
			text, err := os.ReadFile(filepath.Join(dir, f.Name()))
			if err != nil {
				return nil, err
			}
			fmt.Fprintf(&b, "\n%s\n%s, %s\n\n%s\n", strings.Repeat("-", 80), name, f.Name(), bytes.TrimSpace(text))
			found = true
		}
		if !found {
			return nil, fmt.Errorf("%s tells no terms; look for them, and leave it out if there are none", name)
		}
	}
	return b.Bytes(), nil
}

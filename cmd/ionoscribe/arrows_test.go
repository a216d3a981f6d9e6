package main

import (
	"os/exec"
	"strings"
	"testing"
)

// levels are the heights of the packages in the project, by the beginnings of their paths, the longest of which counts: imports
// point down only, so that the signal processing can be used without the program, and a mode without the other modes. Packages
// of one level do not import each other, but for those of internal.
var levels = map[string]int{
	"internal/partfile":    0, // knows files, and nothing of the project
	"demod":                0,
	"demod/fsk":            1,
	"demod/narrow":         1,
	"fax/draw":             1,
	"fax":                  2,
	"rtty":                 2,
	"cw":                   2,
	"psk":                  2,
	"audio":                2,
	"samples":              3, // keys what the modes' tables say
	"internal":             belowAdapters,
	"internal/modes/":      5, // adapters
	"internal/modes":       6,
	"survey":               7,
	"copydesk":             8,
	"internal/band":        aboveDesk,
	"internal/archive":     aboveDesk,
	"internal/filing":      aboveDesk,
	"internal/station":     aboveDesk,
	"internal/stationfile": aboveDesk,
	"internal/rehearsal":   aboveDesk,
	"internal/live":        aboveDesk,
	"internal/web":         aboveDesk,
	"internal/scenes":      aboveDesk,
	"cmd":                  10,
}

const (
	belowAdapters = 4
	aboveDesk     = 9
)

func level(path string) int {
	path = strings.TrimPrefix(path, "ionoscribe/")
	level, longest := -1, 0
	for p, l := range levels {
		within := path == p || strings.HasPrefix(path, strings.TrimSuffix(p, "/")+"/")
		if strings.HasSuffix(p, "/") {
			within = strings.HasPrefix(path, p)
		}
		if within && len(p) > longest {
			level, longest = l, len(p)
		}
	}
	return level
}

// may says that a package may import another one.
func may(from, to string) bool {
	a, b := level(from), level(to)
	return a > b || a == b && (a == belowAdapters || a == aboveDesk)
}

func TestArrows(t *testing.T) {
	list := exec.Command("go", "list", "-deps", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "./...")
	list.Dir = "../.."
	out, err := list.Output()
	if err != nil {
		t.Fatal("go list:", err)
	}
	seen := 0
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		from := words[0]
		if !strings.HasPrefix(from, "ionoscribe/") {
			continue
		}
		seen++
		if level(from) < 0 {
			t.Errorf("%s has no place in the order of packages: give it one in level", from)
		}
		for _, to := range words[1:] {
			if strings.HasPrefix(to, "ionoscribe/") && !may(from, to) {
				t.Errorf("%s imports %s, against the order of packages", from, to)
			}
		}
	}
	if seen < 6 {
		t.Errorf("only %d packages of the project were seen", seen)
	}
}

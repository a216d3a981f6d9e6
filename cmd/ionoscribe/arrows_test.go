package main

import (
	"os/exec"
	"strings"
	"testing"
)

const internalLevel = 3

// level is the height of a package in the project: imports point down only, so that the signal processing can
// be used without the program, and a mode without the other modes. Packages of internal may import each other.
func level(path string) int {
	if path == "ionoscribe/internal/partfile" { // knows files, and nothing of the project
		return 0
	}
	switch top, _, _ := strings.Cut(strings.TrimPrefix(path, "ionoscribe/"), "/"); top {
	case "demod":
		return 0
	case "fax", "rtty", "cw", "audio":
		return 1
	case "samples": // which keys what the modes' tables say
		return 2
	case "internal":
		return internalLevel
	case "cmd":
		return 4
	}
	return -1
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
			if !strings.HasPrefix(to, "ionoscribe/") || level(from) > level(to) || level(from) == internalLevel && level(to) == internalLevel {
				continue
			}
			t.Errorf("%s imports %s, against the order cmd → internal → samples → modes → demod", from, to)
		}
	}
	if seen < 6 {
		t.Errorf("only %d packages of the project were seen", seen)
	}
}

//go:build installed

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// The packages for other computers have the same files, and their program runs: it keeps watch over a recording, and what was
// in that is found.
func TestForeign(t *testing.T) {
	own := content(t, newest(t, "ionoscribe_*_amd64.deb"))
	for _, c := range []struct{ debian, emulator, libraries string }{
		{"arm64", "qemu-aarch64-static", "/usr/aarch64-linux-gnu"},
		{"armhf", "qemu-arm-static", "/usr/arm-linux-gnueabihf"},
	} {
		t.Run(c.debian, func(t *testing.T) {
			deb := newest(t, "ionoscribe_*_"+c.debian+".deb")
			if got := order(t, "dpkg-deb", "--field", deb, "Architecture"); got != c.debian+"\n" {
				t.Error(got)
			}
			if got := content(t, deb); got != own {
				t.Errorf("it has other files than that for amd64:\n%s\n%s", got, own)
			}
			root := t.TempDir()
			order(t, "dpkg-deb", "--extract", deb, root)
			run := func(status int, args ...string) string {
				t.Helper()
				p := exec.Command(c.emulator, append([]string{"-L", c.libraries, filepath.Join(root, installedProgram)}, args...)...)
				text, err := p.CombinedOutput()
				if p.ProcessState.ExitCode() != status {
					t.Fatalf("%v: %v\n%s", args, err, text)
				}
				return string(text)
			}
			if text := run(0, "version"); !strings.Contains(text, ", commit ") {
				t.Error(text)
			}
			recording := filepath.Join(t.TempDir(), "bulletin.wav")
			run(0, "synth", "rtty", "--snr", "20", "-o", recording, "GALE WARNING OSTREL SEA")
			station := t.TempDir()
			must(t, os.WriteFile(filepath.Join(station, "station.toml"), []byte("[[receiver]]\nname = 'north'\nsource = '"+recording+"'\n"), 0o644))
			run(0, "watch", station)
			run(3, "find", "--station", station, "storm")
			if text := run(0, "find", "--station", station, "--as", "text", "gale"); !strings.Contains(text, "GALE WARNING OSTREL SEA") {
				t.Error(text)
			}
		})
	}
}

// content is a package's files with their modes and owners.
func content(t *testing.T, deb string) string {
	t.Helper()
	var all []string
	for _, line := range strings.Split(order(t, "dpkg-deb", "--contents", deb), "\n") {
		if f := strings.Fields(line); len(f) >= 6 {
			all = append(all, f[0]+" "+f[1]+" "+f[5])
		}
	}
	return strings.Join(all, "\n")
}

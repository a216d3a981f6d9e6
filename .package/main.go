// Command package makes packages of Ionoscribe for Linux, of what is in its work tree:
//
//	go run -C .package . deb [ARCH...]     Debian packages, of amd64, arm64 and armhf unless it is said
//	go run -C .package . image [ARCH...]   container images, of amd64 unless it is said
//
//	build.go ─► binary ─┬ facts.go: version, commit, C library ─┬─► deb.go   nfpm.yaml ─► out/….deb
//	                    └ licences.go                           └─► image.go           ─► out/….tar
package main

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
)

// Folders, as seen from this one.
const (
	project = ".."
	out     = "out"
)

const usage = "go run -C .package . deb|image [ARCH...]"

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "package:", err)
		os.Exit(1)
	}
}

func run(args []string) error {
	if len(args) == 0 {
		return errors.New("say what to make: " + usage)
	}
	if _, err := os.Stat("nfpm.yaml"); err != nil {
		return errors.New("it runs in the folder .package: " + usage)
	}
	folder, err := os.MkdirTemp("", "ionoscribe-package-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	w := workshop{folder: folder, built: map[string]string{}}
	var make func(arch) (string, error)
	var wanted []arch
	switch args[0] {
	case "deb":
		make, wanted = w.deb, arches
	case "image":
		make, wanted = w.image, arches[:1]
	default:
		return fmt.Errorf("%q is nothing that it makes: %s", args[0], usage)
	}
	if len(args) > 1 {
		wanted = nil
	}
	for _, name := range args[1:] {
		i := slices.IndexFunc(arches, func(a arch) bool { return a.debian == name })
		if i < 0 {
			return fmt.Errorf("%q is no architecture that it knows: amd64, arm64, armhf", name)
		}
		wanted = append(wanted, arches[i])
	}
	if err := os.MkdirAll(out, 0o777); err != nil {
		return err
	}
	for _, a := range wanted {
		path, err := make(a)
		if err != nil {
			return fmt.Errorf("%s: %w", a.debian, err)
		}
		fi, err := os.Stat(path)
		if err != nil {
			return err
		}
		fmt.Printf("%s  %.1f MB\n", strings.TrimPrefix(path, "./"), float64(fi.Size())/1e6)
	}
	return nil
}

// whole writes a file beside its place and renames it.
func whole(path string, write func(*os.File) error) error {
	f, err := os.CreateTemp(out, ".new-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	err = errors.Join(write(f), f.Chmod(0o644), f.Close())
	if err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}

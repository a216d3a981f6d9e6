package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// arch is a kind of computer.
type arch struct {
	debian, golang string
	compiler       string // a C compiler for it, by Debian's names
	compilerFrom   string // the packages that it is in
}

var arches = []arch{
	{"amd64", "amd64", "x86_64-linux-gnu-gcc", "gcc libc6-dev"},
	{"arm64", "arm64", "aarch64-linux-gnu-gcc", "gcc-aarch64-linux-gnu libc6-dev-arm64-cross"},
	{"armhf", "arm", "arm-linux-gnueabihf-gcc", "gcc-arm-linux-gnueabihf libc6-dev-armhf-cross"},
}

// environment has the go command build for a; devices says that sound devices shall be in it, which needs C.
func (a arch) environment(devices bool) []string {
	env := append(os.Environ(), "GOOS=linux", "GOARCH="+a.golang, "CGO_ENABLED=0")
	if a.golang == "arm" {
		env = append(env, "GOARM=7") // what Debian's armhf has at least: ARMv7 with VFPv3
	}
	if devices {
		// -O1, not -O2, makes the only C, which passes on the samples of sound devices, in a third of the time.
		env = append(env, "CGO_ENABLED=1", "CGO_CFLAGS=-O1", "CC="+a.compiler)
	}
	return env
}

// workshop is where packages are made.
type workshop struct {
	folder string            // which is removed in the end
	built  map[string]string // binaries by their folders
}

// build builds the program. The same commit gives the same bytes, wherever it is built by the same Go and C.
func (w workshop) build(a arch, devices bool) (string, error) {
	name := fmt.Sprintf("%s-%t", a.debian, devices)
	if path := w.built[name]; path != "" {
		return path, nil
	}
	if devices {
		if _, err := exec.LookPath(a.compiler); err != nil {
			return "", fmt.Errorf("there is no %s; apt-get install %s", a.compiler, a.compilerFrom)
		}
	}
	path := filepath.Join(w.folder, name, "ionoscribe")
	_, err := command(a.environment(devices), "go", "build", "-trimpath", "-buildvcs=true", "-ldflags=-s -w", "-o", path, "./cmd/ionoscribe")
	if err == nil {
		w.built[name] = path
	}
	return path, err
}

// command runs a program in the project's folder and gives what it prints.
func command(env []string, name string, args ...string) (string, error) {
	c := exec.Command(name, args...)
	c.Dir, c.Env = project, env
	text, err := c.Output()
	if err != nil {
		var exit *exec.ExitError
		if errors.As(err, &exit) {
			return "", fmt.Errorf("%s: %w\n%s", strings.Join(c.Args, " "), err, exit.Stderr)
		}
		return "", err
	}
	return string(text), nil
}

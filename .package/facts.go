package main

import (
	"cmp"
	"debug/buildinfo"
	"debug/elf"
	"fmt"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"time"
)

// facts are what a binary tells of itself.
type facts struct {
	version string // as the command version says it, without v
	commit  string
	at      time.Time // of the commit
}

func factsOf(binary string) (facts, error) {
	info, err := buildinfo.ReadFile(binary)
	if err != nil {
		return facts{}, err
	}
	setting := func(key string) string {
		i := slices.IndexFunc(info.Settings, func(s debug.BuildSetting) bool { return s.Key == key })
		if i < 0 {
			return ""
		}
		return info.Settings[i].Value
	}
	f := facts{version: strings.TrimPrefix(info.Main.Version, "v"), commit: setting("vcs.revision")}
	f.at, err = time.Parse(time.RFC3339, setting("vcs.time"))
	if err != nil || f.commit == "" {
		return facts{}, fmt.Errorf("the binary knows no commit; build it in a work tree of git")
	}
	return f, nil
}

// debian is the version as Debian orders it: what comes before a release is after a tilde, and there is no hyphen.
func (f facts) debian() string {
	release, before, is := strings.Cut(f.version, "-")
	if !is {
		return release
	}
	return release + "~" + strings.ReplaceAll(before, "-", ".")
}

// libc is the oldest version of GNU's C library that has all that a binary wants of it.
func libc(binary string) (string, error) {
	f, err := elf.Open(binary)
	if err != nil {
		return "", err
	}
	defer f.Close()
	libraries, err := f.ImportedLibraries()
	if err != nil {
		return "", err
	}
	for _, l := range libraries {
		// All else is opened when it is wanted, and may be missing.
		if name, _, _ := strings.Cut(l, ".so"); !slices.Contains([]string{"libc", "libm", "libdl", "libpthread", "libresolv"}, name) && !strings.HasPrefix(name, "ld-linux") {
			return "", fmt.Errorf("the binary needs %s, which nfpm.yaml does not depend on", l)
		}
	}
	symbols, err := f.ImportedSymbols()
	if err != nil {
		return "", err
	}
	var newest []int
	for _, s := range symbols {
		text, is := strings.CutPrefix(s.Version, "GLIBC_")
		if !is {
			continue
		}
		var v []int
		for _, part := range strings.Split(text, ".") {
			n, err := strconv.Atoi(part)
			if err != nil {
				return "", fmt.Errorf("%s wants %s of the C library", s.Name, s.Version)
			}
			v = append(v, n)
		}
		if slices.CompareFunc(v, newest, cmp.Compare[int]) > 0 {
			newest = v
		}
	}
	if newest == nil {
		return "", fmt.Errorf("the binary wants nothing of the C library")
	}
	return strings.Trim(strings.ReplaceAll(fmt.Sprint(newest), " ", "."), "[]"), nil
}

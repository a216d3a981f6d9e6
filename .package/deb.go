package main

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"time"

	"github.com/goreleaser/nfpm/v2"
	_ "github.com/goreleaser/nfpm/v2/deb" // makes the format known
)

// deb makes a Debian package: what nfpm.yaml says, with the binary and what it writes of itself.
func (w workshop) deb(a arch) (string, error) {
	binary, err := w.build(a, true)
	if err != nil {
		return "", err
	}
	folder := filepath.Dir(binary)
	f, err := factsOf(binary)
	if err != nil {
		return "", err
	}
	c, err := libc(binary)
	if err != nil {
		return "", err
	}
	terms, err := licences(a, true)
	if err != nil {
		return "", err
	}
	if err := os.WriteFile(filepath.Join(folder, "copyright"), terms, 0o644); err != nil {
		return "", err
	}
	if err := w.writeOfItself(folder); err != nil {
		return "", err
	}
	values := map[string]string{"ARCH": a.debian, "VERSION": f.debian(), "LIBC": c, "MADE": folder}
	config, err := nfpm.ParseFileWithEnvMapping("nfpm.yaml", func(name string) string { return values[name] })
	if err != nil {
		return "", err
	}
	info, err := config.Get("deb")
	if err != nil {
		return "", err
	}
	info = nfpm.WithDefaults(info)
	info.MTime = f.at
	for _, content := range info.Contents { // the same commit makes the same package
		if content.FileInfo == nil {
			return "", fmt.Errorf("nfpm.yaml has no mode for %s", content.Destination)
		}
		content.FileInfo.MTime = f.at
	}
	p, err := nfpm.Get("deb")
	if err != nil {
		return "", err
	}
	path := filepath.Join(out, p.ConventionalFileName(info))
	return path, whole(path, func(f *os.File) error { return p.Package(info, f) })
}

// writeOfItself has the program write its manual pages and completions, one that is built for this computer.
func (w workshop) writeOfItself(folder string) error {
	i := slices.IndexFunc(arches, func(a arch) bool { return a.golang == runtime.GOARCH })
	if i < 0 {
		return fmt.Errorf("packages are made on amd64, arm64 or arm, and this is %s", runtime.GOARCH)
	}
	binary, err := w.build(arches[i], true)
	if err != nil {
		return err
	}
	manual := filepath.Join(folder, "man")
	if _, err := command(os.Environ(), binary, "manual", manual); err != nil {
		return err
	}
	pages, err := filepath.Glob(filepath.Join(manual, "*.1"))
	if err != nil {
		return err
	}
	for _, page := range pages {
		if err := compress(page); err != nil {
			return err
		}
	}
	for _, shell := range []string{"bash", "zsh", "fish"} {
		text, err := command(os.Environ(), binary, "completion", shell)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(folder, "completion."+shell), []byte(text), 0o644); err != nil {
			return err
		}
	}
	return nil
}

// compress puts a .gz in a file's place.
func compress(path string) error {
	text, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return err
	}
	z.ModTime = time.Time{}
	if _, err := z.Write(text); err != nil {
		return err
	}
	if err := z.Close(); err != nil {
		return err
	}
	if err := os.WriteFile(path+".gz", b.Bytes(), 0o644); err != nil {
		return err
	}
	return os.Remove(path)
}

//go:build installed

package main

import (
	"archive/tar"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/google/go-containerregistry/pkg/v1/mutate"
	"github.com/google/go-containerregistry/pkg/v1/tarball"
)

// The image is started as an engine does it: its user, its entry point, its files, and nothing else.
func TestImage(t *testing.T) {
	image, err := tarball.ImageFromPath(newest(t, "ionoscribe-image_*_amd64.tar"), nil)
	must(t, err)
	file, err := image.ConfigFile()
	must(t, err)
	config := file.Config
	root := t.TempDir()
	r := mutate.Extract(image)
	unpack(t, r, root)
	must(t, r.Close())

	text, health := configuration(t, feed(t))
	must(t, os.WriteFile(filepath.Join(root, imageStation, "station.toml"), []byte(text), 0o644))
	ids := strings.Split(config.User, ":")
	uid, err := strconv.Atoi(ids[0])
	must(t, err)
	gid, err := strconv.Atoi(ids[1])
	must(t, err)
	within := func(args ...string) *exec.Cmd {
		c := exec.Command(config.Entrypoint[0], append(config.Entrypoint[1:], args...)...)
		c.Dir, c.Env = config.WorkingDir, config.Env
		c.SysProcAttr = &syscall.SysProcAttr{Chroot: root, Credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}}
		return c
	}
	s := start(t, within(config.Cmd...))
	s.isWell(t, health)
	s.stops(t)
	find := within("find", "--station", imageStation)
	if text, err := find.CombinedOutput(); find.ProcessState.ExitCode() != 3 {
		t.Errorf("find: %v\n%s", err, text)
	}
}

func unpack(t *testing.T, from io.Reader, root string) {
	t.Helper()
	must(t, os.Chmod(root, 0o755))
	must(t, os.Chmod(filepath.Dir(root), 0o755))
	for r := tar.NewReader(from); ; {
		h, err := r.Next()
		if errors.Is(err, io.EOF) {
			return
		}
		must(t, err)
		path := filepath.Join(root, h.Name)
		if h.Typeflag == tar.TypeDir {
			must(t, os.Mkdir(path, 0o700))
		} else {
			f, err := os.Create(path)
			must(t, err)
			_, err = io.Copy(f, r)
			must(t, errors.Join(err, f.Close()))
		}
		must(t, os.Chown(path, h.Uid, h.Gid))
		must(t, os.Chmod(path, h.FileInfo().Mode()))
	}
}

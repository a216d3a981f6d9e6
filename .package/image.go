package main

import (
	"archive/tar"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/google/go-containerregistry/pkg/name"
	v1 "github.com/google/go-containerregistry/pkg/v1"
	"github.com/google/go-containerregistry/pkg/v1/empty"
	"github.com/google/go-containerregistry/pkg/v1/mutate"
	"github.com/google/go-containerregistry/pkg/v1/tarball"
)

const (
	imageUser    = 10001      // no user of a Debian or a Red Hat system has it
	imageStation = "/station" // the station's folder, to be mounted
	certificates = "/etc/ssl/certs/ca-certificates.crt"
)

// image makes a container image of the static binary, certificates of authorities, and nothing else. It has no sound
// devices: its receivers come from the network.
func (w workshop) image(a arch) (string, error) {
	binary, err := w.build(a, false)
	if err != nil {
		return "", err
	}
	f, err := factsOf(binary)
	if err != nil {
		return "", err
	}
	program, err := os.ReadFile(binary)
	if err != nil {
		return "", err
	}
	authorities, err := os.ReadFile(certificates)
	if err != nil {
		return "", fmt.Errorf("%w; apt-get install ca-certificates", err)
	}
	terms, err := licences(a, false)
	if err != nil {
		return "", err
	}
	base, err := layer(f.at, []entry{
		{name: "etc/passwd", mode: 0o644, text: fmt.Appendf(nil, "ionoscribe:x:%d:%d::/nonexistent:/nonexistent\n", imageUser, imageUser)},
		{name: "etc/group", mode: 0o644, text: fmt.Appendf(nil, "ionoscribe:x:%d:\n", imageUser)},
		{name: certificates[1:], mode: 0o644, text: authorities},
		{name: "tmp/", mode: 0o1777},
		{name: imageStation[1:] + "/", mode: 0o750, owner: imageUser},
	})
	if err != nil {
		return "", err
	}
	top, err := layer(f.at, []entry{
		{name: "usr/bin/ionoscribe", mode: 0o755, text: program},
		{name: "usr/share/doc/ionoscribe/copyright", mode: 0o644, text: terms},
	})
	if err != nil {
		return "", err
	}
	image, err := mutate.AppendLayers(empty.Image, base, top)
	if err != nil {
		return "", err
	}
	config, err := image.ConfigFile()
	if err != nil {
		return "", err
	}
	config = config.DeepCopy()
	config.OS, config.Architecture = "linux", a.golang
	if a.golang == "arm" {
		config.Variant = "v7"
	}
	config.Created = v1.Time{Time: f.at}
	config.Config = v1.Config{
		User: fmt.Sprintf("%d:%d", imageUser, imageUser), Env: []string{"PATH=/usr/bin"}, WorkingDir: imageStation,
		Entrypoint: []string{"/usr/bin/ionoscribe"}, Cmd: []string{"watch", imageStation}, Volumes: map[string]struct{}{imageStation: {}},
		Labels: map[string]string{
			"org.opencontainers.image.title": "Ionoscribe", "org.opencontainers.image.version": f.version,
			"org.opencontainers.image.revision": f.commit, "org.opencontainers.image.licenses": "MIT",
		},
	}
	if image, err = mutate.ConfigFile(image, config); err != nil {
		return "", err
	}
	tag, err := name.NewTag("ionoscribe:" + strings.ReplaceAll(f.version, "+", "-")) // a tag has no plus
	if err != nil {
		return "", err
	}
	path := filepath.Join(out, fmt.Sprintf("ionoscribe-image_%s_%s.tar", f.debian(), a.debian))
	return path, whole(path, func(f *os.File) error { return tarball.Write(tag, image, f) })
}

// entry is a file of a layer, or a folder if its name ends in a slash.
type entry struct {
	name  string
	mode  int64
	owner int
	text  []byte
}

// layer makes a layer of files; the folders that they are in are root's.
func layer(at time.Time, entries []entry) (v1.Layer, error) {
	var b bytes.Buffer
	w := tar.NewWriter(&b)
	made := map[string]bool{}
	var folders func(name string) error
	folders = func(name string) error {
		if name == "." || made[name] {
			return nil
		}
		made[name] = true
		return errors.Join(folders(filepath.Dir(name)), w.WriteHeader(&tar.Header{Typeflag: tar.TypeDir, Name: name + "/", Mode: 0o755, ModTime: at}))
	}
	for _, e := range entries {
		h := &tar.Header{Typeflag: tar.TypeReg, Name: e.name, Mode: e.mode, Uid: e.owner, Gid: e.owner, Size: int64(len(e.text)), ModTime: at}
		if e.name[len(e.name)-1] == '/' {
			h.Typeflag = tar.TypeDir
		} else if err := folders(filepath.Dir(e.name)); err != nil {
			return nil, err
		}
		if err := w.WriteHeader(h); err != nil {
			return nil, err
		}
		if _, err := w.Write(e.text); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return tarball.LayerFromOpener(func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(b.Bytes())), nil })
}

package partfile

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func names(t *testing.T, dir string) (n []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	must(t, err)
	for _, e := range entries {
		n = append(n, e.Name())
	}
	return n
}

// A file lives as long as it is held; then it is swept, and nothing else is.
func TestSweep(t *testing.T) {
	dir := t.TempDir()
	held, err := Create(filepath.Join(dir, "held.wav"))
	must(t, err)
	left, err := Create(filepath.Join(dir, "left.wav"))
	must(t, err)
	left.Close()
	must(t, os.WriteFile(filepath.Join(dir, "film.part"), nil, 0o666))
	must(t, os.Symlink("film.part", filepath.Join(dir, "link.01234567.part")))
	Sweep(dir)
	want := []string{"film.part", filepath.Base(held.Name()), "link.01234567.part"}
	if have := names(t, dir); !slices.Equal(have, want) {
		t.Errorf("%q", have)
	}
	must(t, Place(held, filepath.Join(dir, "held.wav")))
	Sweep(dir)
	if have := names(t, dir); !slices.Equal(have, []string{"film.part", "held.wav", "link.01234567.part"}) {
		t.Errorf("%q", have)
	}
	Sweep(filepath.Join(dir, "absent"))
}

func TestReserve(t *testing.T) {
	name := filepath.Join(t.TempDir(), "x")
	f, err := Reserve(name)
	must(t, err)
	if _, err := Reserve(name); !errors.Is(err, fs.ErrExist) {
		t.Error(err)
	}
	if Orphan(name) != nil {
		t.Error("what is held is taken for an orphan")
	}
	f.Close()
	o := Orphan(name)
	if o == nil {
		t.Fatal("what nobody holds is no orphan")
	}
	Discard(o)
	if o := Orphan(name); o != nil {
		t.Error("it is still there")
	}
}

func TestTarget(t *testing.T) {
	dir := t.TempDir()
	in := func(name string) string { return filepath.Join(dir, name) }
	must(t, os.Mkdir(in("sub"), 0o777))
	must(t, os.Symlink("sub/b", in("a")))
	must(t, os.Symlink("../c", in("sub/b"))) // which is not there
	must(t, os.Symlink(in("a"), in("absolute")))
	must(t, os.Symlink("loop", in("loop")))
	for path, want := range map[string]string{"a": "c", "absolute": "c", "c": "c", "sub": "sub"} {
		if got, err := Target(in(path)); err != nil || got != in(want) {
			t.Errorf("%s: %s, %v", path, got, err)
		}
	}
	if _, err := Target(in("loop")); err == nil {
		t.Error("a link to itself has a target")
	}
}

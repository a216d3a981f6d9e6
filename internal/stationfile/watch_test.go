//go:build unix

package stationfile

import (
	"context"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// told is what a watch tells of.
type told struct {
	config *Config
	err    error
}

// startWatch watches a file until the test ends, and gives what is told of it.
func startWatch(t *testing.T, path string) <-chan told {
	c, err := Load(path)
	must(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	all := make(chan told, 100)
	done := make(chan error, 1)
	go func() { done <- Watch(ctx, c, func(c *Config, err error) { all <- told{c, err} }) }()
	t.Cleanup(func() {
		cancel()
		must(t, <-done)
	})
	// It is ready once it hears a signal, which is told of even if nothing has changed.
	for {
		must(t, syscall.Kill(os.Getpid(), syscall.SIGHUP))
		select {
		case x := <-all:
			if x.err != nil {
				t.Fatal(x.err)
			}
			return all
		case <-time.After(50 * time.Millisecond):
		}
	}
}

func next(t *testing.T, all <-chan told) told {
	t.Helper()
	select {
	case x := <-all:
		return x
	case <-time.After(20 * time.Second):
		t.Fatal("nothing is told")
		panic("")
	}
}

// wait is for a configuration of a name; on a busy computer, half a file may be told of before.
func wait(t *testing.T, all <-chan told, name string) *Config {
	t.Helper()
	for {
		if x := next(t, all); x.err == nil && x.config.Name == name {
			return x.config
		}
	}
}

// waitFor is for an error, with which comes no configuration.
func waitFor(t *testing.T, all <-chan told, message string) {
	t.Helper()
	for {
		x := next(t, all)
		if x.err != nil && x.config != nil {
			t.Fatalf("%+v", x)
		}
		if x.err != nil && strings.Contains(x.err.Error(), message) {
			return
		}
	}
}

func few(name string) []byte {
	return []byte("name = \"" + name + "\"\n[[receiver]]\nname = \"a\"\nsource = \"x.flac\"\n")
}

// A file is read again when it is written, when another one is put in its place, when it was away, and when its programme changes; not
// when other files of the folder do. A bad one is told.
func TestWatch(t *testing.T) {
	signalsIgnored(t)
	path := put(t, Name, string(few("one")))
	folder := filepath.Dir(path)
	all := startWatch(t, path)

	must(t, os.WriteFile(path, few("two"), 0o666))
	wait(t, all, "two")

	// As editors do: a new file, renamed onto the old one.
	other := filepath.Join(folder, ".station.toml.new")
	must(t, os.WriteFile(other, few("three"), 0o666))
	must(t, os.Rename(other, path))
	wait(t, all, "three")

	// Or the old one, renamed away first.
	must(t, os.Rename(path, path+"~"))
	must(t, os.WriteFile(path, few("four"), 0o666))
	wait(t, all, "four")

	must(t, os.WriteFile(path, []byte("name = \"bad\n"), 0o666))
	waitFor(t, all, Name+":1:12: it is not TOML")
	must(t, os.Remove(path))
	waitFor(t, all, "no such file")
	must(t, os.WriteFile(path, few("five"), 0o666))
	wait(t, all, "five")

	// A programme file in a folder of its own, which comes to be, changes, and is wrong.
	programmes := t.TempDir()
	csv := filepath.Join(programmes, "p.csv")
	must(t, os.WriteFile(csv, []byte("title,times\na,06:00\n"), 0o666))
	must(t, os.WriteFile(path, append([]byte("programme_files = '"+csv+"'\n"), few("six")...), 0o666))
	if c := wait(t, all, "six"); len(c.Programme) != 1 {
		t.Fatalf("%+v", c.Programme)
	}
	must(t, os.WriteFile(csv, []byte("title,times\na,06:00\nb,07:00\n"), 0o666))
	if c := wait(t, all, "six"); len(c.Programme) != 2 {
		t.Fatalf("%+v", c.Programme)
	}
	must(t, os.WriteFile(csv, []byte("title,times\na,6\n"), 0o666))
	waitFor(t, all, "p.csv:2:3: times")
	must(t, os.WriteFile(csv, []byte("title,times\na,06:00\n"), 0o666))
	wait(t, all, "six")

	// The same again, and others, are nothing new: what is told next is the change after them.
	must(t, os.WriteFile(other, append([]byte("programme_files = '"+csv+"'\n"), few("six")...), 0o666))
	must(t, os.Rename(other, path))
	must(t, os.WriteFile(filepath.Join(folder, "archive.db-wal"), []byte("x"), 0o666))
	time.Sleep(3 * settled)
	must(t, os.WriteFile(other, few("seven"), 0o666))
	must(t, os.Rename(other, path))
	if x := next(t, all); x.err != nil || x.config.Name != "seven" {
		t.Fatalf("%+v", x)
	}

	// A signal has it told again.
	must(t, syscall.Kill(os.Getpid(), syscall.SIGHUP))
	wait(t, all, "seven")
}

// Of a link, the file behind it is watched, wherever that is, also when another one is put in its place.
func TestWatchLink(t *testing.T) {
	signalsIgnored(t)
	file := put(t, "mine.toml", string(few("one")))
	path := filepath.Join(t.TempDir(), Name)
	must(t, os.Symlink(file, path))
	all := startWatch(t, path)
	must(t, os.WriteFile(file, few("two"), 0o666))
	wait(t, all, "two")
	other := filepath.Join(filepath.Dir(file), ".new")
	must(t, os.WriteFile(other, few("three"), 0o666))
	must(t, os.Rename(other, file))
	wait(t, all, "three")
}

// What changed between reading and watching is told.
func TestWatchChangedBefore(t *testing.T) {
	path := put(t, Name, string(few("one")))
	c, err := Load(path)
	must(t, err)
	must(t, os.WriteFile(path, few("two"), 0o666))
	ctx, cancel := context.WithCancel(context.Background())
	err = Watch(ctx, c, func(c *Config, err error) {
		if err != nil || c.Name != "two" {
			t.Errorf("%+v %v", c, err)
		}
		cancel()
	})
	must(t, err)
}

func TestWatchNothing(t *testing.T) {
	err := Watch(context.Background(), &Config{Path: filepath.Join(t.TempDir(), "none", Name)}, func(*Config, error) {})
	if err == nil || !strings.Contains(err.Error(), "watch ") {
		t.Error(err)
	}
}

// signalsIgnored keeps SIGHUP from ending the test when the watch does not take it.
func signalsIgnored(t *testing.T) {
	c := make(chan os.Signal, 1)
	signal.Notify(c, syscall.SIGHUP)
	t.Cleanup(func() { signal.Stop(c) })
}

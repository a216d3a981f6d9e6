package stationfile

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"maps"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"time"

	"github.com/fsnotify/fsnotify"

	"ionoscribe/internal/fault"
)

// settled is how long a file must rest until it is read: an editor writes it in several steps.
const settled = 300 * time.Millisecond

// Watch calls f with what the file of a configuration holds whenever that, or a file of its programme, is another one than before,
// and at each SIGHUP, until ctx ends: with a configuration, or an error and none. It calls f from this goroutine. It fails at once
// if the folder cannot be watched.
func Watch(ctx context.Context, c *Config, f func(*Config, error), checks ...func(Receiver) error) error {
	w, err := newWatcher(c)
	if err != nil {
		return err
	}
	defer w.notify.Close()
	again := make(chan os.Signal, 1)
	signal.Notify(again, syscall.SIGHUP)
	defer signal.Stop(again)
	quiet := time.NewTimer(0) // it may have changed since it was read
	defer quiet.Stop()
	for {
		ordered := false
		select {
		case <-ctx.Done():
			return nil
		case e := <-w.notify.Events:
			// The archive in the folder is written all the time.
			if w.ours(filepath.Clean(e.Name)) {
				quiet.Reset(settled)
			}
			continue
		case <-w.notify.Errors: // events were lost
			quiet.Reset(settled)
			continue
		case <-again:
			ordered = true
		case <-quiet.C:
		}
		before := w.files
		c, wrong, err := w.read(checks)
		if err != nil {
			f(nil, err)
		} else if ordered || !maps.EqualFunc(before, w.files, bytes.Equal) {
			f(c, wrong)
		}
	}
}

// watcher watches a file, and those of its programme.
type watcher struct {
	path   string
	notify *fsnotify.Watcher
	files  files           // as they were read last
	linked map[string]bool // files that these are links to
}

func (w *watcher) ours(path string) bool {
	_, read := w.files[path]
	return read || w.linked[path]
}

func newWatcher(c *Config) (*watcher, error) {
	path := filepath.Clean(c.Path)
	n, err := fsnotify.NewWatcher()
	if err == nil {
		// The folder, since an editor may put another file in the place of this one.
		if err = n.Add(filepath.Dir(path)); err != nil {
			n.Close()
		}
	}
	if err != nil {
		return nil, cannotWatch(filepath.Dir(path), err)
	}
	return &watcher{path: path, notify: n, files: c.files}, nil
}

// read reads the files, and watches their folders; wrong is what is wrong with them.
func (w *watcher) read(checks []func(Receiver) error) (c *Config, wrong, err error) {
	all := files{}
	c, wrong = all.load(w.path, checks)
	if wrong != nil { // which files the programme has may not be known
		for path := range w.files {
			if _, known := all[path]; !known {
				all.read(path)
			}
		}
	}
	w.files, w.linked = all, map[string]bool{}
	folders := map[string]bool{}
	for path := range all {
		folders[filepath.Dir(path)] = true
		if target, e := filepath.EvalSymlinks(path); e == nil && target != path { // what is missing is no link
			folders[filepath.Dir(target)] = true
			w.linked[target] = true
		}
	}
	for _, folder := range w.notify.WatchList() {
		if !folders[folder] {
			w.notify.Remove(folder) // it may be gone
		}
		delete(folders, folder)
	}
	for folder := range folders {
		if e := w.notify.Add(folder); e != nil && !errors.Is(e, fs.ErrNotExist) { // of what is not there, the file is missed
			err = cannotWatch(folder, e)
		}
	}
	return c, wrong, err
}

func cannotWatch(folder string, err error) error {
	return &fault.Error{Op: "watch", Path: folder, Err: fault.Cause(err), Mend: "raise the system's limits of watched files (fs.inotify), and restart the program"}
}

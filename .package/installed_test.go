//go:build installed

// These tests install, run, remove and purge the packages in out on the computer itself, which they want as root and with
// Debian: go run -C .package . deb && go run -C .package . image && go test -C .package -tags installed .
package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// order runs a program that has to succeed, and gives what it prints.
func order(t *testing.T, name string, args ...string) string {
	t.Helper()
	var errs bytes.Buffer
	c := exec.Command(name, args...)
	c.Stderr = &errs
	text, err := c.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s%s", strings.Join(c.Args, " "), err, text, errs.Bytes())
	}
	return string(text)
}

// newest is the package in out that was made last.
func newest(t *testing.T, pattern string) string {
	t.Helper()
	all, err := filepath.Glob(filepath.Join(out, pattern))
	must(t, err)
	var path string
	var at time.Time
	for _, p := range all {
		fi, err := os.Stat(p)
		must(t, err)
		if fi.ModTime().After(at) {
			path, at = p, fi.ModTime()
		}
	}
	if path == "" {
		t.Fatalf("there is no %s in %s; make it first", pattern, out)
	}
	return path
}

// wait waits until something has happened; a minute is far more than it takes.
func wait(t *testing.T, what string, happened func() bool) {
	t.Helper()
	for end := time.Now().Add(time.Minute); !happened(); time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("waited in vain for ", what)
		}
	}
}

// soundRate is that of the receiver that feed is, in samples a second.
const soundRate = 12000

// feed is a receiver in the network that gives silence, as 16-bit samples, until the test ends.
func feed(t *testing.T) (source string) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	t.Cleanup(func() { l.Close() })
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go func() {
				defer c.Close()
				for err == nil {
					_, err = c.Write(make([]byte, 2*soundRate/10))
					time.Sleep(100 * time.Millisecond)
				}
			}()
		}
	}()
	return fmt.Sprintf("tcp://%s?rate=%d&encoding=s16le", l.Addr(), soundRate)
}

// configuration is that of a station with the receiver source; health is where it tells how it is.
func configuration(t *testing.T, source string) (text, health string) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	address := l.Addr().String()
	must(t, l.Close())
	return fmt.Sprintf("name = 'Trial'\nlisten = '%s'\n[[receiver]]\nname = 'north'\nsource = '%s'\n", address, source), "http://" + address + "/health"
}

// runningStation is a station that a test has started.
type runningStation struct {
	*exec.Cmd
	errs lockedBuffer
}

type lockedBuffer struct {
	sync.Mutex
	b bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.Lock()
	defer l.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.Lock()
	defer l.Unlock()
	return l.b.String()
}

func start(t *testing.T, c *exec.Cmd) *runningStation {
	t.Helper()
	s := &runningStation{Cmd: c}
	c.Stderr = &s.errs
	must(t, c.Start())
	t.Cleanup(func() {
		if c.ProcessState == nil {
			c.Process.Kill()
			c.Wait()
		}
		if t.Failed() {
			t.Log(s.errs.String())
		}
	})
	return s
}

// isWell waits until the station says so.
func (s *runningStation) isWell(t *testing.T, health string) {
	t.Helper()
	wait(t, "health", func() bool {
		r, err := http.Get(health)
		if err != nil {
			return false
		}
		defer r.Body.Close()
		text, err := io.ReadAll(r.Body)
		must(t, err)
		var told struct {
			Well      bool
			Receivers []json.RawMessage
		}
		must(t, json.Unmarshal(text, &told))
		return r.StatusCode == http.StatusOK && told.Well && len(told.Receivers) == 1
	})
}

// stops has it stop as a service manager does, which may take 5 seconds.
func (s *runningStation) stops(t *testing.T) {
	t.Helper()
	must(t, s.Process.Signal(syscall.SIGTERM))
	late := time.AfterFunc(5*time.Second, func() { s.Process.Kill() })
	err := s.Wait()
	if !late.Stop() {
		t.Fatal("it did not stop within 5 s")
	}
	must(t, err)
}

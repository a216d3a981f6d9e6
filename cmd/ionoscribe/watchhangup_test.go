//go:build unix

package main

import (
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// SIGHUP has a station read its configuration again, and does not end it; a bad one is told, and the old one stays in force.
func TestHangUpRereads(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	defer l.Close()
	dir := t.TempDir()
	path := filepath.Join(dir, "station.toml")
	good := fmt.Sprintf("[[receiver]]\nname = 'a'\nsource = 'tcp://%s?rate=12000&encoding=s16le'\nsound = 'none'\n", l.Addr())
	must(t, os.WriteFile(path, []byte(good), 0o666))
	s := exec.Command(program, "watch", dir)
	var errs lockedBuffer
	s.Stderr = &errs
	must(t, s.Start())
	t.Cleanup(func() { s.Process.Kill() })
	wait(t, "the receiver", func() bool { c, err := l.Accept(); return err == nil && c != nil })
	must(t, os.WriteFile(path, []byte(good+"colour = 'red'\n"), 0o666))
	told := "station.toml:5:1: \\\"colour\\\" is not known"
	wait(t, "the bad configuration", func() bool { return strings.Contains(errs.String(), told) })
	before := strings.Count(errs.String(), told)
	must(t, s.Process.Signal(syscall.SIGHUP))
	wait(t, "the reading again", func() bool { return strings.Count(errs.String(), told) > before })
	must(t, s.Process.Signal(syscall.SIGTERM))
	s.Wait()
	if s.ProcessState.ExitCode() == -1 {
		t.Errorf("%v %q", s.ProcessState, errs.String())
	}
}

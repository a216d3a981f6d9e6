package main

import (
	"bytes"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// A station serves its page at the address that its configuration says, to whom it says, and takes up a change of both.
func TestWatchServesPage(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "station.toml")
	write := func(listen, more string) {
		must(t, os.WriteFile(path, []byte(fmt.Sprintf("listen = %q\n[[receiver]]\nname = 'a'\nsource = 'tcp://127.0.0.1:1?rate=12000&encoding=s16le'\nsound = 'none'\n%s", listen, more)), 0o666))
	}
	first, second := freeAddress(t), freeAddress(t)
	write(first, "")
	s := exec.Command(program, "watch", dir)
	must(t, s.Start())
	t.Cleanup(func() { s.Process.Kill() })
	session := func(address string) string {
		a, err := http.Get("http://" + address + "/api/session")
		if err != nil {
			return "nobody"
		}
		defer a.Body.Close()
		b, _ := io.ReadAll(a.Body)
		return string(b)
	}
	wait(t, "the page", func() bool { return session(first) == `{"role":"change","user":"","password_needed":false}` })
	var user, errs bytes.Buffer
	if status := run(t.Context(), []string{"watch", "--password", "mate"}, strings.NewReader("open the hatch\n"), &user, &errs); status != statusOK {
		t.Fatal(&errs)
	}
	write(first, user.String())
	wait(t, "the user", func() bool { return session(first) == `{"role":"none","user":"","password_needed":true}` })
	write(second, user.String())
	wait(t, "another address", func() bool { return strings.Contains(session(second), "none") && session(first) == "nobody" })
	must(t, s.Process.Signal(os.Interrupt))
	s.Wait()
	if s.ProcessState.ExitCode() == -1 || session(second) != "nobody" {
		t.Errorf("%v", s.ProcessState)
	}
}

// freeAddress is one at which nobody listens now.
func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	defer l.Close()
	return l.Addr().String()
}

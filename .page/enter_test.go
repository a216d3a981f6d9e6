//go:build browser

package main

import (
	"bytes"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
)

// guarded runs a station that wants to know who looks at its page.
func guarded(t *testing.T) (address string) {
	t.Helper()
	dir := t.TempDir()
	program, err := build(dir)
	if err != nil {
		t.Fatal(err)
	}
	listen, err := freeAddress()
	if err != nil {
		t.Fatal(err)
	}
	tables := "name = 'Guarded'\nlisten = '" + listen + "'\n[[receiver]]\nname = 'north'\nsource = 'rtp://127.0.0.1:45004?rate=8000'\n"
	for _, role := range []string{"look", "change"} {
		c := exec.Command(program, "watch", "--password", role+"er", "--role", role)
		c.Stdin = bytes.NewBufferString("a password to " + role + "\n")
		out, err := c.Output()
		if err != nil {
			t.Fatal(err)
		}
		tables += string(out)
	}
	if err := os.WriteFile(filepath.Join(dir, "station.toml"), []byte(tables), 0o666); err != nil {
		t.Fatal(err)
	}
	var log bytes.Buffer
	watch := exec.Command(program, "watch", dir)
	watch.Stdout, watch.Stderr = &log, &log
	if err := watch.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		watch.Process.Signal(os.Interrupt)
		watch.Wait()
		if t.Failed() {
			t.Log(log.String())
		}
	})
	address = "http://" + listen
	for deadline := time.Now().Add(30 * time.Second); ; time.Sleep(100 * time.Millisecond) {
		if r, err := http.Get(address + "/health"); err == nil {
			r.Body.Close()
			return address
		}
		if time.Now().After(deadline) {
			t.Fatal("it does not listen")
		}
	}
}

// Who looks at a station that has users is asked who that is; a wrong password is told. The role look sees everything and may change
// nothing; the role change may.
func TestEnter(t *testing.T) {
	address := guarded(t)
	demo := station
	defer func() { station = demo }()
	station = address
	for _, c := range []struct {
		role string
		may  bool
	}{{"look", false}, {"change", true}} {
		v := tab(t, screens[0], false)
		v.do(call(network.ClearBrowserCookies, cdp.Empty{}))
		v.open("/station")
		v.until(`document.querySelector("dialog[open] #password")`)
		for _, violation := range v.violations() {
			t.Error(violation)
		}
		enter := func(password string) {
			v.put("Name", c.role+"er")
			v.put("Password", password)
			v.click("Enter")
		}
		enter("a guess of mine")
		v.until(`document.querySelector("dialog .error").textContent !== ""`)
		enter("a password to " + c.role)
		v.until(`!document.querySelector("dialog") && document.querySelector("main").innerText.includes("north")`)
		if may := value[bool](v, `[...document.querySelectorAll("main button")].some((b) => b.textContent === "Add a receiver" && !b.hidden)`); may != c.may {
			t.Errorf("%s: a receiver can be added: %v", c.role, may)
		}
		if cookie := value[string](v, `document.cookie`); cookie != "" {
			t.Errorf("scripts see the session: %q", cookie)
		}
		v.open("/")
		v.until(`document.querySelector(".strip")`)
		v.forgive("status of 401")
		v.forgive("HTTP Authentication failed")
	}
}

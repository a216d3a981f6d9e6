//go:build browser

package main

import (
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// No view asks another host for anything.
func TestNothingFromElsewhere(t *testing.T) {
	v := tab(t, screens[0], false)
	var mutex sync.Mutex
	var asked []string
	if err := chromedp.Listen(v.ctx, func(e any) {
		mutex.Lock()
		defer mutex.Unlock()
		switch e := e.(type) {
		case *network.EventRequestWillBeSent:
			asked = append(asked, e.Request.URL)
		case *network.EventWebSocketCreated:
			asked = append(asked, e.URL)
		}
	}); err != nil {
		t.Fatal(err)
	}
	v.do(call(network.Enable, network.EnableParams{}))
	for _, w := range views {
		v.open(w.path)
		v.until(w.ready)
	}
	mutex.Lock()
	defer mutex.Unlock()
	sockets := 0
	for _, url := range asked {
		if strings.HasPrefix(url, "ws"+strings.TrimPrefix(station, "http")) {
			sockets++
		} else if !strings.HasPrefix(url, station+"/") && !strings.HasPrefix(url, "blob:"+station) && !strings.HasPrefix(url, "data:") {
			t.Errorf("it asks for %s", url)
		}
	}
	if len(asked) < 4*len(views) || sockets == 0 {
		t.Errorf("it asks %d times, and has %d sockets", len(asked), sockets)
	}
}

// The browser keeps what the page's policy forbids: text that is parsed as HTML, text that is run, scripts, frames and pictures of others.
func TestPolicy(t *testing.T) {
	v := tab(t, screens[0], false)
	v.open("/")
	for _, attempt := range []string{
		`document.body.innerHTML = "<b>x</b>"`, `document.write("x")`, `setTimeout("1")`, `document.createElement("script").src = "/main.js"`,
		`trustedTypes.createPolicy("x", { createHTML: (s) => s })`, `new Worker("data:,1")`,
	} {
		if value[string](v, `(() => { try { `+attempt+`; return "done"; } catch (e) { return e.name; } })()`) == "done" {
			t.Errorf("%s is allowed", attempt)
		}
	}
	for _, attempt := range []string{
		`fetch("http://127.0.0.1:9/").then(() => "done", (e) => e.message)`,
		`new Promise((done) => { addEventListener("securitypolicyviolation", (e) => done(e.effectiveDirective), { once: true }); const f = document.createElement("iframe"); f.src = "/"; document.body.append(f); setTimeout(() => done("done"), 2000); })`,
		`new Promise((done) => { addEventListener("securitypolicyviolation", (e) => done(e.effectiveDirective), { once: true }); const f = document.createElement("img"); f.src = "http://127.0.0.1:9/x.png"; document.body.append(f); setTimeout(() => done("done"), 2000); })`,
		`new Promise((done) => { addEventListener("securitypolicyviolation", (e) => done(e.effectiveDirective), { once: true }); const f = document.createElement("style"); f.textContent = "body { color: red }"; document.body.append(f); setTimeout(() => done("done"), 2000); })`,
	} {
		if value[string](v, attempt) == "done" {
			t.Errorf("%s is allowed", attempt)
		}
	}
	v.mutex.Lock()
	v.heard = nil // these complaints were asked for
	v.mutex.Unlock()
}

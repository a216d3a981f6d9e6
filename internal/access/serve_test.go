package access

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"testing"
	"time"
)

// Serve moves to the address, and to TLS, as they are configured, and refuses one where nobody is asked for a password.
func TestServeMoves(t *testing.T) {
	c := Config{Listen: "127.0.0.1:1"}
	g := gateOf(t, c)
	listeners := make(chan net.Listener, 1)
	g.listen = func(_, address string) (net.Listener, error) {
		if address == "127.0.0.1:2" {
			return nil, errors.New("it is in use")
		}
		l, err := net.Listen("tcp", "127.0.0.1:0")
		listeners <- l
		return l, err
	}
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		g.Serve(ctx, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { fmt.Fprint(w, VisitorOf(r).Role) }))
	}()
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true}, DisableKeepAlives: true}}
	ask := func(scheme string, l net.Listener) string {
		a, err := client.Get(scheme + "://" + l.Addr().String())
		if err != nil {
			return "nobody"
		}
		defer a.Body.Close()
		b, _ := io.ReadAll(a.Body)
		return string(b)
	}
	first := <-listeners
	if got := ask("http", first); got != "change" {
		t.Error(got)
	}
	c.Certificate, c.Key = putPair(t, t.TempDir(), 1, time.Now())
	g.Change(c)
	second := <-listeners
	if got := ask("https", second); got != "change" || ask("http", first) != "nobody" {
		t.Error("with TLS:", got)
	}
	for _, listen := range []string{"0.0.0.0:1", "127.0.0.1:2"} { // neither is served
		c.Listen = listen
		g.Change(c)
	}
	c.Listen = "127.0.0.1:3"
	g.Change(c)
	third := <-listeners
	if got := ask("https", third); got != "change" || ask("https", second) != "nobody" {
		t.Error("at the third address:", got)
	}
	cancel()
	<-ended
	if ask("https", third) != "nobody" {
		t.Error("it is still served")
	}
}

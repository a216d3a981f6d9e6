package access

import (
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"net/netip"
	"os"
	"testing"
	"testing/synctest"
	"time"
)

// Deadlines of writing that a handler sets are kept if they are earlier.
func TestOwnDeadlines(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := newPipes()
		l := limited(p, nil)
		go p.dial("127.0.0.1")
		c, err := l.Accept()
		if err != nil {
			t.Fatal(err)
		}
		for own, want := range map[time.Duration]time.Duration{time.Second: time.Second, time.Hour: writeTime} {
			began := time.Now()
			if err := c.SetDeadline(began.Add(own)); err != nil {
				t.Fatal(err)
			}
			if _, err := c.Write([]byte("x")); !errors.Is(err, os.ErrDeadlineExceeded) || time.Since(began) != want {
				t.Errorf("%v: %v after %v", own, err, time.Since(began))
			}
		}
		c.Close()
	})
}

// An address has its number of connections, and those of others still come in.
func TestConnectionsOfAnAddress(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := limited(newPipes(), func(a netip.Addr) bool { return a == netip.MustParseAddr("192.0.2.9") })
		open := func(from string, n int) (admitted []*connection) {
			for range n {
				_, server := net.Pipe()
				if c := l.admit(distant{server, from}); c != nil {
					admitted = append(admitted, c)
				}
			}
			return admitted
		}
		all := open("192.0.2.7", 2*mostOfAddress)
		if len(all) != mostOfAddress || len(open("192.0.2.8", 1)) != 1 || len(open("2001:db8::1", mostOfAddress)) != mostOfAddress || len(open("2001:db8::2", 1)) != 0 {
			t.Error(len(all), l.ofAddress)
		}
		if n := len(open("192.0.2.9", 2*mostOfAddress)) + len(open("127.0.0.1", 2*mostOfAddress)); n != 4*mostOfAddress {
			t.Error("trusted proxies and this computer have a limit:", n)
		}
		for range 2 { // twice does not count twice
			all[0].Close()
		}
		if n := len(open("192.0.2.7", 2)); n != 1 {
			t.Error(n, "came in the place of one")
		}
	})
}

// If there are too many in all, those that say nothing give way, and those that are served do not.
func TestConnectionsInAll(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := limited(newPipes(), nil)
		var all []*connection
		admit := func() *connection {
			_, server := net.Pipe()
			time.Sleep(time.Millisecond)
			return l.admit(distant{server, "127.0.0.1"})
		}
		for i := range mostConnections {
			all = append(all, admit())
			if i != 5 && i != 7 {
				all[i].since(time.Time{})
			}
		}
		all[5].since(time.Now())
		first, second := admit(), admit()
		if first == nil || second == nil || len(l.all) != mostConnections {
			t.Error("those that wait do not give way", len(l.all))
		}
		for _, i := range []int{5, 7} {
			if _, there := l.all[all[i]]; there {
				t.Error(i, "is still there")
			}
		}
		for c := range l.all {
			c.since(time.Time{})
		}
		if admit() != nil {
			t.Error("there are more than there may be")
		}
	})
}

// 500 sockets that say nothing do not keep others from an answer, nor do they hold memory when they are gone.
func TestManySockets(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	c := Config{Listen: l.Addr().String()}
	ended := make(chan error)
	ctx, cancel := context.WithCancel(t.Context())
	go func() {
		ended <- gateOf(t, c).ServeOn(ctx, l, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { io.WriteString(w, "well") }))
	}()
	for i := range 500 {
		s, err := net.Dial("tcp", c.Listen)
		if err != nil {
			t.Fatal(i, err)
		}
		defer s.Close()
		if i%2 == 0 {
			io.WriteString(s, "GET / HT")
		}
	}
	for range 10 {
		a, err := http.Get("http://" + c.Listen)
		if err != nil {
			t.Fatal(err)
		}
		if b, err := io.ReadAll(a.Body); err != nil || string(b) != "well" {
			t.Fatal(err, string(b))
		}
		a.Body.Close()
		http.DefaultClient.CloseIdleConnections()
	}
	cancel()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}

package access

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"testing"
	"testing/synctest"
	"time"
)

// pipes is a listener whose connections are in memory, so that a test's clock counts for them.
type pipes struct {
	come   chan net.Conn
	closed chan struct{}
}

func newPipes() pipes { return pipes{make(chan net.Conn), make(chan struct{})} }

func (p pipes) Accept() (net.Conn, error) {
	select {
	case c := <-p.come:
		return c, nil
	case <-p.closed:
		return nil, net.ErrClosed
	}
}

func (p pipes) Close() error {
	close(p.closed)
	return nil
}

func (p pipes) Addr() net.Addr { return &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 8073} }

// dial connects from an address.
func (p pipes) dial(from string) net.Conn {
	client, server := net.Pipe()
	p.come <- distant{server, from}
	return client
}

// distant is a connection from some address.
type distant struct {
	net.Conn
	from string
}

func (d distant) RemoteAddr() net.Addr { return &net.TCPAddr{IP: net.ParseIP(d.from), Port: 40000} }

func (d distant) LocalAddr() net.Addr { return pipes{}.Addr() }

// serving serves a handler within a test whose clock does not run by itself.
func serving(t *testing.T, h http.HandlerFunc, f func(*testing.T, pipes)) {
	synctest.Test(t, func(t *testing.T) {
		p := newPipes()
		ctx, cancel := context.WithCancel(t.Context())
		ended := make(chan error)
		go func() { ended <- gateOf(t, Config{Listen: "127.0.0.1:8073"}).ServeOn(ctx, p, h) }()
		f(t, p)
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		time.Sleep(time.Second) // connections that were refused linger until the client has read why
	})
}

const head = "POST / HTTP/1.1\r\nHost: 127.0.0.1:8073\r\nContent-Length: 60000\r\n"

// closes says how long a connection is held open for a client that sends a byte now and then.
func closes(c net.Conn, first string, pause time.Duration) time.Duration {
	began := time.Now()
	go io.Copy(io.Discard, c)
	_, err := c.Write([]byte(first))
	for err == nil {
		time.Sleep(pause)
		_, err = c.Write([]byte("x"))
	}
	return time.Since(began)
}

// A client that never ends the head of a request, or its body, is hung up on.
func TestSlowRequests(t *testing.T) {
	read := func(w http.ResponseWriter, r *http.Request) { io.Copy(io.Discard, r.Body) }
	serving(t, read, func(t *testing.T, p pipes) {
		for name, c := range map[string]struct {
			first string
			most  time.Duration
		}{"nothing": {"", headTime}, "head": {head + "X-Long: ", headTime}, "body": {head + "\r\n", requestTime}} {
			if held := closes(p.dial("127.0.0.1"), c.first, time.Second); held > c.most+2*time.Second {
				t.Errorf("%s: it was held for %v", name, held)
			}
		}
	})
}

// A client that does not read what it asked for, or hardly, does not hold its handler; one that is only slow gets all.
func TestSlowReaders(t *testing.T) {
	picture := bytes.Repeat([]byte("chart"), 100_000)
	wrote := make(chan error, 1)
	write := func(w http.ResponseWriter, r *http.Request) {
		_, err := w.Write(picture)
		wrote <- err
	}
	for name, c := range map[string]struct {
		pause time.Duration
		bytes int
		all   bool
	}{"never": {time.Hour, 0, false}, "hardly": {time.Second, 500, false}, "slowly": {time.Second, 5000, true}} {
		serving(t, write, func(t *testing.T, p pipes) {
			conn := p.dial("127.0.0.1")
			io.WriteString(conn, "GET / HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n")
			got, b := 0, make([]byte, max(c.bytes, 1))
			for {
				if c.bytes == 0 {
					time.Sleep(writeTime + time.Second)
					break
				}
				n, err := conn.Read(b)
				got += n
				if err != nil {
					break
				}
				time.Sleep(c.pause)
			}
			if err := <-wrote; (err == nil) != c.all {
				t.Errorf("%s: %v", name, err)
			}
			if all := got > len(picture); all != c.all {
				t.Errorf("%s: %d bytes", name, got)
			}
		})
	}
}

// A head that is too large is refused before anything is done.
func TestLargeHead(t *testing.T) {
	serving(t, func(http.ResponseWriter, *http.Request) { t.Error("it came through") }, func(t *testing.T, p pipes) {
		for _, first := range []string{"GET /?" + string(bytes.Repeat([]byte("q"), 2*mostHead)), "GET / HTTP/1.1\r\nHost: localhost\r\nX: " + string(bytes.Repeat([]byte("h"), 2*mostHead))} {
			c := p.dial("127.0.0.1")
			go io.WriteString(c, first+"\r\n\r\n")
			a, err := http.ReadResponse(bufio.NewReader(c), nil)
			if err != nil || a.StatusCode != http.StatusRequestHeaderFieldsTooLarge {
				t.Error(a, err)
			}
			c.Close()
		}
	})
}

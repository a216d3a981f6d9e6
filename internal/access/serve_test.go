package access

import (
	"bufio"
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math/big"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
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
		if admit() == nil || admit() == nil || len(l.all) != mostConnections {
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

// putPair puts a certificate with a number, and its key, at a time.
func putPair(t *testing.T, folder string, number int64, at time.Time) (cert, key string) {
	t.Helper()
	secret, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	of := &x509.Certificate{SerialNumber: big.NewInt(number), DNSNames: []string{"station.example"}, NotAfter: at.Add(time.Hour)}
	der, err := x509.CreateCertificate(rand.Reader, of, of, secret.Public(), secret)
	if err != nil {
		t.Fatal(err)
	}
	keyDER, err := x509.MarshalPKCS8PrivateKey(secret)
	if err != nil {
		t.Fatal(err)
	}
	cert, key = filepath.Join(folder, "station.pem"), filepath.Join(folder, "station.key")
	for path, block := range map[string]*pem.Block{cert: {Type: "CERTIFICATE", Bytes: der}, key: {Type: "PRIVATE KEY", Bytes: keyDER}} {
		err := errors.Join(os.WriteFile(path, pem.EncodeToMemory(block), 0o600), os.Chtimes(path, at, at))
		if err != nil {
			t.Fatal(err)
		}
	}
	return cert, key
}

// Certificates are read again when they change; wrong files leave the one before in force.
func TestCertificateChanges(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		folder := t.TempDir()
		certPath, keyPath := filepath.Join(folder, "station.pem"), filepath.Join(folder, "station.key")
		c := &certificate{log: slog.New(slog.DiscardHandler), files: func() (string, string) { return certPath, keyPath }}
		number := func() string {
			time.Sleep(looksAgain)
			pair, err := c.get(nil)
			if err != nil {
				return "none"
			}
			return fmt.Sprint(pair.Leaf.SerialNumber)
		}
		if got := number(); got != "none" {
			t.Error("without files:", got)
		}
		putPair(t, folder, 1, time.Now())
		if got := number(); got != "1" {
			t.Error(got)
		}
		putPair(t, folder, 2, time.Now())
		if got := number(); got != "2" {
			t.Error("after a change:", got)
		}
		if err := os.WriteFile(keyPath, []byte("nonsense"), 0o600); err != nil {
			t.Fatal(err)
		}
		if got := number(); got != "2" {
			t.Error("after nonsense:", got)
		}
		other := t.TempDir()
		certPath, keyPath = putPair(t, other, 3, time.Now())
		if pair, err := c.get(nil); err != nil || pair.Leaf.SerialNumber.Int64() != 3 {
			t.Error("after other files were configured:", pair.Leaf.SerialNumber, err)
		}
	})
}

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

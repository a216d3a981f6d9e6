package web

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"sync"
	"testing"

	"github.com/coder/websocket"

	"ionoscribe/internal/live"
	"ionoscribe/internal/live/livetest"
)

// site is a server at a listener, whose station tells what the test says.
type site struct {
	t       testing.TB
	station *livetest.Station
	client  *http.Client
	stop    func()
}

// newSite serves until stop is called. c is of a station that has nothing to do with what is told.
func newSite(t testing.TB, c Config, l net.Listener, dial func(ctx context.Context, network, address string) (net.Conn, error)) *site {
	s := &site{t: t, station: new(livetest.Station)}
	c.Live = live.New(s.station)
	server := New(c)
	ctx, cancel := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() { c.Live.Run(ctx) })
	running.Go(func() {
		if err := server.ServeOn(ctx, l); err != nil {
			t.Error(err)
		}
	})
	transport := &http.Transport{DialContext: dial}
	s.client = &http.Client{Transport: transport}
	s.stop = func() {
		transport.CloseIdleConnections()
		cancel()
		running.Wait()
	}
	return s
}

// localSite is one that is reached by TCP.
func localSite(t testing.TB) (*site, string) {
	t.Helper()
	_, c := smallStation(t)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	s := newSite(t, c, l, new(net.Dialer).DialContext)
	t.Cleanup(s.stop)
	return s, l.Addr().String()
}

// pipes is a listener of connections that hold nothing: who writes waits until it is read.
type pipes struct {
	conns  chan net.Conn
	closed chan struct{}
	once   sync.Once
}

func newPipes() *pipes { return &pipes{conns: make(chan net.Conn), closed: make(chan struct{})} }

func (l *pipes) dial(context.Context, string, string) (net.Conn, error) {
	here, there := net.Pipe()
	select {
	case l.conns <- ofThisComputer{there}:
		return here, nil
	case <-l.closed:
		return nil, net.ErrClosed
	}
}

func (l *pipes) Accept() (net.Conn, error) {
	select {
	case c := <-l.conns:
		return c, nil
	case <-l.closed:
		return nil, net.ErrClosed
	}
}

func (l *pipes) Close() error {
	l.once.Do(func() { close(l.closed) })
	return nil
}

func (l *pipes) Addr() net.Addr { return thisComputer }

var thisComputer = &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 8073}

type ofThisComputer struct{ net.Conn }

func (ofThisComputer) LocalAddr() net.Addr  { return thisComputer }
func (ofThisComputer) RemoteAddr() net.Addr { return thisComputer }

// events is an event stream of a page.
type events struct {
	*websocket.Conn
	t testing.TB
}

func (s *site) events(ctx context.Context, address, query string) *events {
	s.t.Helper()
	c, _, err := websocket.Dial(ctx, "ws://"+address+"/api/events"+query, &websocket.DialOptions{HTTPClient: s.client})
	must(s.t, err)
	c.SetReadLimit(1 << 20)
	return &events{c, s.t}
}

// raw is a connection of an event stream on which nothing was read yet.
func (s *site) raw(t testing.TB, l *pipes) net.Conn {
	t.Helper()
	c, err := l.dial(t.Context(), "", "")
	must(t, err)
	fmt.Fprint(c, "GET /api/events HTTP/1.1\r\nHost: 127.0.0.1:8073\r\nConnection: Upgrade\r\nUpgrade: websocket\r\n"+
		"Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n\r\n")
	r, err := http.ReadResponse(bufio.NewReaderSize(c, 16), nil)
	must(t, err)
	if r.StatusCode != http.StatusSwitchingProtocols {
		t.Fatal(r.Status)
	}
	return c
}

// event is a message, as far as the tests look at it.
type event struct {
	What    string   `json:"what"`
	Number  int64    `json:"number"`
	Resumed bool     `json:"resumed"`
	ID      int64    `json:"id"`
	Chars   [][2]any `json:"chars"`
}

func (e event) text() (all string) {
	for _, c := range e.Chars {
		all += c[0].(string)
	}
	return all
}

// next waits for the next message; binary ones are passed over, and counted.
func (e *events) next(ctx context.Context) (v event, rows int, err error) {
	for {
		kind, b, err := e.Read(ctx)
		if err != nil {
			return v, rows, err
		}
		if kind == websocket.MessageBinary {
			rows++
			continue
		}
		return v, rows, json.Unmarshal(b, &v)
	}
}

// say tells the server something.
func (e *events) say(ctx context.Context, what string) {
	e.t.Helper()
	must(e.t, e.Write(ctx, websocket.MessageText, []byte(what)))
}

// discard reads to the end.
func discard(r io.Reader) { io.Copy(io.Discard, r) }

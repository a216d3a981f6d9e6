package access

import (
	"context"
	"errors"
	"net"
	"net/http"
	"net/netip"
	"sync"
	"time"
)

// How many connections there may be in all, and of one address: a browser has six, and an event stream for each page. This
// computer's own addresses, which a hundred pages may come from, and trusted proxies have no limit of their own.
const (
	mostConnections = 1024
	mostOfAddress   = 64
)

// writeTime is how long a client may take for what is sent to it at once, 64 kB at most: 17 kbit/s.
const (
	writeTime  = 30 * time.Second
	mostAtOnce = 64 << 10
)

// connections are those of a listener. If there are too many, the one that has waited longest for a request of its client gives
// way: whoever opens them and says nothing shuts nobody out.
type connections struct {
	net.Listener
	exempt func(netip.Addr) bool // from the limit of an address

	mu        sync.Mutex
	all       map[*connection]struct{}
	ofAddress map[string]int
}

func limited(l net.Listener, exempt func(netip.Addr) bool) *connections {
	return &connections{Listener: l, exempt: exempt, all: map[*connection]struct{}{}, ofAddress: map[string]int{}}
}

// Accept waits for a connection that may be.
func (l *connections) Accept() (net.Conn, error) {
	for {
		c, err := l.Listener.Accept()
		if err != nil {
			return nil, err
		}
		if admitted := l.admit(c); admitted != nil {
			return admitted, nil
		}
		c.Close()
	}
}

// admit gives nil to one connection too many.
func (l *connections) admit(raw net.Conn) *connection {
	peer, _ := netip.ParseAddrPort(raw.RemoteAddr().String())
	address := peer.Addr().Unmap()
	c := &connection{Conn: raw, of: l, waits: time.Now()}
	if !address.IsLoopback() && !l.exempt(address) {
		c.household = household(address)
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	if c.household != "" && l.ofAddress[c.household] >= mostOfAddress {
		return nil
	}
	if len(l.all) >= mostConnections {
		longest := l.waitsLongest()
		if longest == nil {
			return nil
		}
		l.drop(longest)
		defer longest.Conn.Close() // its server notices
	}
	l.all[c] = struct{}{}
	if c.household != "" {
		l.ofAddress[c.household]++
	}
	return c
}

// waitsLongest is the connection whose client has said nothing for the longest time; nil: all are being served.
func (l *connections) waitsLongest() (longest *connection) {
	for c := range l.all {
		if !c.waits.IsZero() && (longest == nil || c.waits.Before(longest.waits)) {
			longest = c
		}
	}
	return longest
}

// drop forgets a connection.
func (l *connections) drop(c *connection) {
	if _, there := l.all[c]; !there {
		return
	}
	delete(l.all, c)
	if c.household == "" {
		return
	}
	if l.ofAddress[c.household]--; l.ofAddress[c.household] == 0 {
		delete(l.ofAddress, c.household)
	}
}

// connection is one of them.
type connection struct {
	net.Conn
	of        *connections
	household string    // "": it is not counted
	waits     time.Time // since when, for a request; zero: it is served
	deadline  deadline
}

// deadline of writing that others have set.
type deadline struct {
	sync.Mutex
	time.Time
}

// Close closes it.
func (c *connection) Close() error {
	c.of.mu.Lock()
	c.of.drop(c)
	c.of.mu.Unlock()
	return c.Conn.Close()
}

// CloseWrite lets the client read to the end why it is refused.
func (c *connection) CloseWrite() error {
	if half, ok := c.Conn.(interface{ CloseWrite() error }); ok {
		return half.CloseWrite()
	}
	return nil
}

// Write writes in parts, for each of which the client has some time: long ones may take long, and no client makes it wait for ever.
func (c *connection) Write(b []byte) (n int, err error) {
	for {
		part := b[n:min(n+mostAtOnce, len(b))]
		if err := c.allow(); err != nil {
			return n, err
		}
		wrote, err := c.Conn.Write(part)
		n += wrote
		if err != nil || n >= len(b) {
			return n, err
		}
	}
}

// allow gives the time for one part.
func (c *connection) allow() error {
	c.deadline.Lock()
	defer c.deadline.Unlock()
	until := time.Now().Add(writeTime)
	if own := c.deadline.Time; !own.IsZero() && own.Before(until) {
		until = own
	}
	return c.Conn.SetWriteDeadline(until)
}

// SetWriteDeadline sets one that counts if it is earlier than that of writing at all.
func (c *connection) SetWriteDeadline(t time.Time) error {
	c.deadline.Lock()
	defer c.deadline.Unlock()
	c.deadline.Time = t
	return c.Conn.SetWriteDeadline(t)
}

// SetDeadline sets it of reading too.
func (c *connection) SetDeadline(t time.Time) error {
	return errors.Join(c.SetReadDeadline(t), c.SetWriteDeadline(t))
}

type connectionKey struct{}

// remember is ConnContext of a server: it lets served find the connection.
func remember(ctx context.Context, c net.Conn) context.Context {
	if t, ok := c.(interface{ NetConn() net.Conn }); ok { // TLS
		c = t.NetConn()
	}
	return context.WithValue(ctx, connectionKey{}, c)
}

// served notes which connections wait for a request, and which are served.
func served(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if c, ok := r.Context().Value(connectionKey{}).(*connection); ok {
			c.since(time.Time{})
			defer func() { c.since(time.Now()) }()
		}
		next.ServeHTTP(w, r)
	})
}

func (c *connection) since(t time.Time) {
	c.of.mu.Lock()
	defer c.of.mu.Unlock()
	c.waits = t
}

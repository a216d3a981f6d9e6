package access

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"time"
)

// Times that a client has: for the head of a request, for all of it (64 kB at most), and until the next one.
const (
	headTime    = 5 * time.Second
	requestTime = 20 * time.Second
	idleConn    = 2 * time.Minute
)

// mostHead is the size of a request's head in bytes: a long search fits.
const mostHead = 16 << 10

// Serve answers requests at the configured address by h, whose requests come through the gate, until ctx ends. If another address
// is configured, it moves there.
func (g *Gate) Serve(ctx context.Context, h http.Handler) {
	for ctx.Err() == nil {
		if err := g.serveHere(ctx, h); err != nil {
			g.log.Error("the page is not served", "error", err)
			select {
			case <-ctx.Done():
			case <-g.moved:
			}
		}
	}
}

// serveHere does so until ctx ends, or the address is another one.
func (g *Gate) serveHere(ctx context.Context, h http.Handler) error {
	select {
	case <-g.moved: // which p knows already
	default:
	}
	p := g.policy.Load()
	if p.Listen == "" {
		select {
		case <-ctx.Done():
		case <-g.moved:
		}
		return nil
	}
	if err := p.Check(); err != nil {
		return fmt.Errorf("listen = %q: %w", p.Listen, err)
	}
	l, err := g.listen("tcp", p.Listen)
	if err != nil {
		return fmt.Errorf("listen = %q: %w; choose another port", p.Listen, err)
	}
	if !p.Local() && p.Certificate == "" && len(p.TrustedProxies) == 0 {
		g.log.Warn("passwords cross the network as they are; give certificate and key in [page]", "listen", p.Listen)
	}
	scheme := "http://"
	if p.Certificate != "" {
		scheme = "https://"
	}
	g.log.Info("the page is served", "at", scheme+p.Listen)
	return g.serveOn(ctx, l, p, h)
}

// ServeOn answers requests of a listener until ctx ends, or another address is configured, and closes it.
func (g *Gate) ServeOn(ctx context.Context, l net.Listener, h http.Handler) error {
	return g.serveOn(ctx, l, g.policy.Load(), h)
}

func (g *Gate) serveOn(ctx context.Context, l net.Listener, p *policy, h http.Handler) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel() // ends event streams, which the server does not know any more
	server := &http.Server{
		Handler: served(g.Handler(h)), MaxHeaderBytes: mostHead,
		ReadHeaderTimeout: headTime, ReadTimeout: requestTime, IdleTimeout: idleConn,
		BaseContext: func(net.Listener) context.Context { return ctx },
		ConnContext: remember, ErrorLog: slog.NewLogLogger(g.log.Handler(), slog.LevelDebug), // of clients that stammer
		// HTTP/2 would let a client open streams that it does not read, which no limit of a connection sees.
		Protocols: new(http.Protocols),
	}
	server.Protocols.SetHTTP1(true)
	l = limited(l, func(a netip.Addr) bool { return g.policy.Load().isProxy(a) })
	if p.Certificate != "" {
		c := &certificate{log: g.log, files: func() (string, string) {
			now := g.policy.Load()
			return now.Certificate, now.Key
		}}
		c.get(nil) // says at once if it is wrong
		l = tls.NewListener(l, &tls.Config{GetCertificate: c.get, NextProtos: []string{"http/1.1"}})
	}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(l) }()
	select {
	case <-ctx.Done():
	case <-g.moved:
	case err := <-ended:
		return err
	}
	server.Close()
	if err := <-ended; !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

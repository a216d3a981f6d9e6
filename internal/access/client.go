package access

import (
	"net/http"
	"net/netip"
	"slices"
	"strings"
)

// client is where a request comes from.
type client struct {
	address   netip.Addr
	forwarded bool // by a proxy, trusted or not
	secure    bool // the browser speaks TLS
}

// clientOf finds out about a request. If a trusted proxy has sent it, it is given back with the host that the browser asked for.
func (p *policy) clientOf(r *http.Request) (client, *http.Request) {
	peer, _ := netip.ParseAddrPort(r.RemoteAddr) // there is no other form; a zero address is nobody's
	c := client{address: peer.Addr().Unmap(), secure: r.TLS != nil}
	h := r.Header
	for _, name := range []string{"X-Forwarded-For", "X-Forwarded-Host", "Forwarded", "X-Real-Ip", "Via"} {
		c.forwarded = c.forwarded || len(h[name]) > 0
	}
	if !p.isProxy(c.address) {
		return c, r
	}
	c.forwarded = true
	for _, text := range slices.Backward(strings.Split(strings.Join(h["X-Forwarded-For"], ","), ",")) {
		a, err := netip.ParseAddr(strings.TrimSpace(text))
		if err != nil {
			break
		}
		if c.address = a.Unmap(); !p.isProxy(c.address) {
			break
		}
	}
	c.secure = c.secure || strings.EqualFold(lastOf(h["X-Forwarded-Proto"]), "https")
	if host := lastOf(h["X-Forwarded-Host"]); host != "" {
		copied := *r
		copied.Host = host
		r = &copied
	}
	return c, r
}

func (p *policy) isProxy(a netip.Addr) bool {
	return slices.ContainsFunc(p.TrustedProxies, func(net netip.Prefix) bool { return net.Contains(a) })
}

// lastOf is what the nearest proxy has added to a header.
func lastOf(lines []string) string {
	all := strings.Join(lines, ",")
	return strings.TrimSpace(all[strings.LastIndexByte(all, ',')+1:])
}

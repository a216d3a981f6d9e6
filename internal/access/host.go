package access

import (
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"
)

// allowsHost says that a request's Host is a name of this computer, of the address at which it is reached, or a configured one. A
// page of others that has its own name point here (DNS rebinding) has another one.
func (p *policy) allowsHost(r *http.Request) bool {
	host := hostname(r.Host)
	named := func(name string) bool { return strings.EqualFold(strings.Trim(name, "[]"), host) }
	if isLocal(host) || slices.ContainsFunc(p.Hosts, named) {
		return true
	}
	ip, err := netip.ParseAddr(host)
	if err != nil {
		return false
	}
	local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
	if !ok {
		return false
	}
	reached, err := netip.ParseAddrPort(local.String())
	return err == nil && reached.Addr().Unmap().WithZone("") == ip.Unmap()
}

// hostname is a host without its port, and without the brackets of IPv6.
func hostname(host string) string {
	if name, port, err := net.SplitHostPort(host); err == nil && strings.Trim(port, "0123456789") == "" {
		return name
	}
	if inner, ok := strings.CutPrefix(host, "["); ok {
		return strings.TrimSuffix(inner, "]")
	}
	return host
}

package access

import (
	"context"
	"crypto/tls"
	"net"
	"net/http"
	"strings"
	"testing"
)

// A request for another name than the station's is refused: a name of others may point here.
func TestForgedHost(t *testing.T) {
	c := station(t)
	c.Hosts = []string{"station.example", "2001:db8::5"}
	h := site(gateOf(t, c))
	for host, want := range map[string]int{
		"127.0.0.1:8073": 200, "127.0.0.1": 200, "127.8.8.8:1": 200, "localhost:8073": 200, "LocalHost": 200, "[::1]:8073": 200, "[::1]": 200,
		"station.example": 200, "Station.Example:9443": 200, "192.0.2.1:8073": 200, "[2001:db8::5]:8073": 200,
		"": 421, "evil.example": 421, "evil.example:8073": 421, "127.0.0.1.evil.example": 421, "localhost.evil.example": 421, "192.0.2.2": 421,
		"station.example.": 421, "station.example:x": 421, "station.example@evil.example": 421, "evil.example#station.example": 421,
		"station.example evil.example": 421, "127.0.0.1:8073, evil.example": 421, "0x7f.1": 421, "2130706433": 421, "[::1": 200, "localhost:": 200,
	} {
		r := ask("GET", "/")
		r.Host = host
		r = r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, &net.TCPAddr{IP: net.IPv4(192, 0, 2, 1), Port: 8073}))
		if a := send(h, r); a.StatusCode != want {
			t.Errorf("%q: %d, want %d", host, a.StatusCode, want)
		}
	}
}

// What pages of others make a browser send is refused.
func TestOtherOrigins(t *testing.T) {
	c := station(t)
	c.TrustedOrigins = []string{"https://charts.example"}
	h := site(gateOf(t, c))
	cookie := comeIn(t, h, "master")
	for _, c := range []struct {
		name, method  string
		byCookie      bool
		origin, site  string
		mode, upgrade string
		want          int
	}{
		{name: "the page reads", method: "GET", byCookie: true, site: "same-origin", want: 200},
		{name: "the page changes", method: "POST", byCookie: true, site: "same-origin", origin: "http://127.0.0.1:8073", want: 200},
		{name: "the page in an old browser", method: "POST", byCookie: true, origin: "http://127.0.0.1:8073", want: 200},
		{name: "the page's events", method: "GET", byCookie: true, site: "same-origin", upgrade: "websocket", origin: "http://127.0.0.1:8073", want: 200},
		{name: "a link of others", method: "GET", byCookie: true, site: "cross-site", mode: "navigate", want: 200},
		{name: "a program", method: "POST", want: 200},
		{name: "a program's events", method: "GET", upgrade: "WebSocket", want: 200},
		{name: "a trusted page", method: "POST", byCookie: true, site: "cross-site", origin: "https://charts.example", want: 200},
		{name: "a trusted page reads", method: "GET", byCookie: true, site: "cross-site", mode: "cors", origin: "https://charts.example", want: 200},
		{name: "a form of others", method: "POST", byCookie: true, site: "cross-site", mode: "navigate", origin: "https://evil.example", want: 403},
		{name: "the same without cookie", method: "POST", site: "cross-site", origin: "https://evil.example", want: 403},
		{name: "another port of this computer", method: "POST", byCookie: true, site: "same-site", origin: "http://127.0.0.1:9000", want: 403},
		{name: "others in an old browser", method: "DELETE", byCookie: true, origin: "https://evil.example", want: 403},
		{name: "an origin that is hidden", method: "PUT", byCookie: true, origin: "null", want: 403},
		{name: "nothing is told", method: "PATCH", byCookie: true, want: 403},
		{name: "events of others", method: "GET", byCookie: true, upgrade: "websocket", origin: "https://evil.example", want: 403},
		{name: "events of others without cookie", method: "GET", upgrade: "websocket", site: "cross-site", origin: "https://evil.example", want: 403},
		{name: "events, nothing is told", method: "GET", byCookie: true, upgrade: "websocket", want: 403},
		{name: "a picture in a page of others", method: "GET", byCookie: true, site: "cross-site", mode: "no-cors", want: 403},
		{name: "fetched by another port", method: "GET", byCookie: true, site: "same-site", mode: "cors", origin: "http://127.0.0.1:9000", want: 403},
	} {
		r := ask(c.method, "/")
		if c.byCookie {
			r.AddCookie(cookie)
		}
		for name, value := range map[string]string{"Origin": c.origin, "Sec-Fetch-Site": c.site, "Sec-Fetch-Mode": c.mode, "Upgrade": c.upgrade} {
			if value != "" {
				r.Header.Set(name, value)
			}
		}
		a := send(h, r)
		if a.StatusCode != c.want {
			t.Errorf("%s: %d, want %d", c.name, a.StatusCode, c.want)
		}
		for name := range a.Header {
			if strings.HasPrefix(name, "Access-Control") {
				t.Errorf("%s: %s lets others read", c.name, name)
			}
		}
	}
}

// Each answer tells browsers to be strict, a refusal too.
func TestHeaders(t *testing.T) {
	c := station(t)
	c.Hosts = []string{"station.example"}
	h := site(gateOf(t, c))
	for name, c := range map[string]struct {
		host   string
		tls    bool
		strict string
	}{
		"plain": {"station.example", false, ""}, "TLS": {"station.example", true, "max-age=31536000"}, "TLS of this computer": {"localhost:8073", true, ""},
		"refused": {"evil.example", false, ""},
	} {
		r := ask("GET", "/")
		r.Host = c.host
		if c.tls {
			r.TLS = &tls.ConnectionState{}
		}
		got := send(h, r).Header
		if got.Get("Strict-Transport-Security") != c.strict {
			t.Errorf("%s: Strict-Transport-Security: %s", name, got.Get("Strict-Transport-Security"))
		}
		for header, want := range map[string]string{
			"Content-Security-Policy": "default-src 'none'; script-src 'self';", "X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer",
			"Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Resource-Policy": "same-origin", "Permissions-Policy": "accelerometer=()",
		} {
			if !strings.HasPrefix(got.Get(header), want) {
				t.Errorf("%s: %s: %s", name, header, got.Get(header))
			}
		}
		if csp := got.Get("Content-Security-Policy"); strings.Contains(csp, "unsafe") || !strings.Contains(csp, "require-trusted-types-for 'script'") {
			t.Error(csp)
		}
	}
}

package access

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/alexedwards/argon2id"
)

// FuzzGate sends any head of a request: nobody comes in but with the token, for a host that the station has.
func FuzzGate(f *testing.F) {
	c := station(f)
	proxy, err := ParseProxy("10.0.0.0/8")
	if err != nil {
		f.Fatal(err)
	}
	c.TrustedProxies = append(c.TrustedProxies, proxy)
	h := gateOf(f, c).Handler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { w.Header().Set("Role", VisitorOf(r).Role.String()) }))
	for _, auth := range []string{"", "Bearer look", "bearer  look", "Bearer", "Basic bG9vazpsb29r", "Bearer look look"} {
		for _, host := range []string{"localhost", "[::1]:8073", "evil.example", "127.0.0.1:8073"} {
			f.Add("GET", host, auth, "ionoscribe-8073=x", "10.1.2.3:5", "127.0.0.1, 198.51.100.1", "https")
		}
	}
	f.Fuzz(func(t *testing.T, method, host, auth, cookie, peer, forwarded, proto string) {
		r := httptest.NewRequest("GET", "/", nil)
		r.Method, r.Host, r.RemoteAddr = method, host, peer
		r.Header = http.Header{"Authorization": {auth}, "Cookie": {cookie}, "X-Forwarded-For": {forwarded}, "X-Forwarded-Proto": {proto}, "X-Forwarded-Host": {host}}
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		role := w.Header().Get("Role")
		scheme, token, _ := strings.Cut(auth, " ")
		has := strings.EqualFold(scheme, "Bearer") && (strings.TrimSpace(token) == "look" || strings.TrimSpace(token) == "change")
		if role != "" && role != "none" && !has {
			t.Errorf("%q came in with the role %s", auth, role)
		}
		if role != "" && strings.Contains(host, "evil") {
			t.Errorf("the host %q is not the station's", host)
		}
		if w.Header().Get("Content-Security-Policy") == "" {
			t.Error("an answer without a policy")
		}
	})
}

// FuzzHashes reads hashes of passwords and of tokens, origins, hosts and proxies as a configuration may have them.
func FuzzHashes(f *testing.F) {
	for _, text := range []string{"", light(f, "x"), decoy(""), "$argon2id$v=19$m=65536,t=3,p=1$$", "https://charts.example", "10.0.0.0/8", "fe80::1%eth0", "[::1]", "a.b"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if CheckPassword(text) == nil {
			if p, _, _, err := argon2id.DecodeHash(text); err != nil || p.Memory > mostMemory || p.Iterations == 0 {
				t.Errorf("%q: %+v %v", text, p, err)
			}
		}
		if p, err := ParseProxy(text); err == nil && !p.IsValid() {
			t.Errorf("%q is no network", text)
		}
		if CheckHost(text) == nil && hostname(text+":1") == "" {
			t.Errorf("%q is no host", text)
		}
		ParseSHA256(text)
		CheckOrigin(text)
		CheckName(text)
		decoy(text)
	})
}

// BenchmarkGate is what the gate adds to a request with a session.
func BenchmarkGate(b *testing.B) {
	h := site(gateOf(b, station(b)))
	r := ask("GET", "/")
	r.AddCookie(comeIn(b, h, "mate"))
	w := httptest.NewRecorder()
	for b.Loop() {
		h.ServeHTTP(w, r)
		w.Body.Reset()
	}
}

// BenchmarkPassword is a check of a new password.
func BenchmarkPassword(b *testing.B) {
	hash, err := MakePassword("a long word")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		argon2id.ComparePasswordAndHash("a long word", hash)
	}
}

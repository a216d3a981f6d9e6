package access

import (
	"crypto/sha256"
	"encoding/json"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/alexedwards/argon2id"
)

// light is a hash that costs little.
func light(t testing.TB, password string) string {
	t.Helper()
	hash, err := argon2id.CreateHash(password, &argon2id.Params{Memory: 64, Iterations: 1, Parallelism: 1, SaltLength: 16, KeyLength: 32})
	if err != nil {
		t.Fatal(err)
	}
	return hash
}

// station has a user of each role, and a token of each.
func station(t testing.TB) Config {
	t.Helper()
	c := Config{Listen: "127.0.0.1:8073", Users: []User{{"mate", Look, light(t, "mate's word")}, {"master", Change, light(t, "master's word")}}}
	for _, r := range []Role{Look, Change} {
		c.Tokens = append(c.Tokens, Token{Name: r.String() + " program", Role: r, SHA256: sha256.Sum256([]byte(r.String()))})
	}
	return c
}

func gateOf(t testing.TB, c Config) *Gate {
	t.Helper()
	return New(c, func(w http.ResponseWriter, _ *http.Request, r *Refusal) { http.Error(w, r.Detail, r.Status) }, slog.New(slog.DiscardHandler))
}

// site logs in and out, and tells who asks.
func site(g *Gate) http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("POST /login", func(w http.ResponseWriter, r *http.Request) {
		v, err := g.LogIn(w, r, r.FormValue("user"), r.FormValue("password"))
		if no, ok := err.(*Refusal); ok {
			http.Error(w, no.Detail, no.Status)
			return
		}
		json.NewEncoder(w).Encode(v)
	})
	mux.HandleFunc("POST /logout", func(w http.ResponseWriter, r *http.Request) { json.NewEncoder(w).Encode(g.LogOut(w, r)) })
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) { json.NewEncoder(w).Encode(VisitorOf(r)) })
	return g.Handler(mux)
}

// ask is a request of this computer; change it before send.
func ask(method, path string) *http.Request {
	r := httptest.NewRequest(method, path, nil)
	r.Host, r.RemoteAddr = "127.0.0.1:8073", "127.0.0.1:40000"
	return r
}

func logIn(user, password string) *http.Request {
	r := httptest.NewRequest("POST", "/login", strings.NewReader("user="+user+"&password="+strings.ReplaceAll(password, " ", "+")))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Host, r.RemoteAddr = "127.0.0.1:8073", "127.0.0.1:40000"
	return r
}

func send(h http.Handler, r *http.Request) *http.Response {
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w.Result()
}

// who is the visitor that an answer tells of.
func who(t *testing.T, a *http.Response) string {
	t.Helper()
	var v struct{ Name, Role string }
	if a.StatusCode != http.StatusOK {
		return a.Status
	}
	if err := json.NewDecoder(a.Body).Decode(&v); err != nil {
		t.Fatal(err)
	}
	return strings.TrimSpace(v.Name + " " + v.Role)
}

// comeIn logs in and gives the cookie.
func comeIn(t testing.TB, h http.Handler, user string) *http.Cookie {
	t.Helper()
	a := send(h, logIn(user, user+"'s word"))
	if a.StatusCode != http.StatusOK || len(a.Cookies()) != 1 {
		t.Fatal(a.Status, a.Cookies())
	}
	return a.Cookies()[0]
}

package web

import (
	"net/http"
	"strings"
	"testing"
)

// A user logs in and out, and each answer says who is there.
func TestSessionOverTheInterface(t *testing.T) {
	s := smallServer(t)
	in := ask(s, request("POST", "/api/session", "", `{"user": "mate", "password": "`+secret+`"}`))
	if in.Code != http.StatusOK || in.Body.String() != `{"role":"look","user":"mate","password_needed":true}` || len(in.Result().Cookies()) != 1 {
		t.Fatal(in.Code, in.Body, in.Result().Cookies())
	}
	cookie := in.Result().Cookies()[0]
	for _, c := range []struct{ method, want string }{
		{"GET", `{"role":"look","user":"mate","password_needed":true}`},
		{"DELETE", `{"role":"none","user":"","password_needed":true}`},
		{"GET", `{"role":"none","user":"","password_needed":true}`},
	} {
		r := request(c.method, "/api/session", "", "")
		r.AddCookie(cookie)
		r.Header.Set("Sec-Fetch-Site", "same-origin")
		if a := ask(s, r); a.Code != http.StatusOK || a.Body.String() != c.want {
			t.Errorf("%s: %d %s, want %s", c.method, a.Code, a.Body, c.want)
		}
	}
	wrong := ask(s, request("POST", "/api/session", "", `{"user": "mate", "password": "x"}`))
	if wrong.Code != http.StatusUnauthorized || wrong.Header().Get("Content-Type") != "application/problem+json" || !strings.HasPrefix(wrong.Header().Get("WWW-Authenticate"), "Bearer") {
		t.Error(wrong.Code, wrong.Header())
	}
	for wrong.Code == http.StatusUnauthorized {
		wrong = ask(s, request("POST", "/api/session", "", `{"user": "mate", "password": "x"}`))
	}
	if wrong.Code != http.StatusTooManyRequests || wrong.Header().Get("Retry-After") == "" {
		t.Error(wrong.Code, wrong.Header())
	}
}

// What is asked for in the wrong way is told which way is right.
func TestWrongMethod(t *testing.T) {
	s := smallServer(t)
	for _, c := range []struct {
		method, path string
		want         int
		allow        string
	}{
		{"PUT", "/api/session", http.StatusMethodNotAllowed, "GET, HEAD, POST, DELETE"},
		{"POST", "/api/nothing", http.StatusNotFound, ""},
		{"GET", "/api/", http.StatusNotFound, ""},
		{"POST", "/health", http.StatusMethodNotAllowed, "GET, HEAD"},
	} {
		a := ask(s, request(c.method, c.path, "change", ""))
		if a.Code != c.want || a.Header().Get("Allow") != c.allow || a.Header().Get("Content-Type") != "application/problem+json" {
			t.Errorf("%s %s: %d, Allow: %s, %s", c.method, c.path, a.Code, a.Header().Get("Allow"), a.Body)
		}
	}
}

// A fault of a handler is told as a problem, and the next request is served.
func TestHandlerPanics(t *testing.T) {
	s := smallServer(t)
	h := s.answer(route{"GET", "/", 0, func(http.ResponseWriter, *http.Request) (any, error) { panic("nil map") }})
	s.mux = http.NewServeMux()
	s.mux.Handle("/", h)
	if a := ask(s, request("GET", "/", "", "")); a.Code != http.StatusInternalServerError || strings.Contains(a.Body.String(), "nil map") {
		t.Error(a.Code, a.Body)
	}
}

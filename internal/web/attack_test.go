package web

import (
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"ionoscribe/internal/access"
)

// without is what changes nothing though it is no GET.
var without = []string{"POST /api/session", "DELETE /api/session", "POST /api/rules/trial"}

// Nobody comes in without a token or a session, and whoever may look changes nothing.
func TestRoles(t *testing.T) {
	s := smallServer(t)
	for _, rt := range s.routes() {
		if reads := rt.method == http.MethodGet || slices.Contains(without, rt.name()); reads == (rt.role == access.Change) {
			t.Errorf("%s needs the role %s", rt.name(), rt.role)
		}
		tokens := map[string]int{"": 401, "wrong": 401, "look": 200}
		switch rt.role {
		case access.None:
			tokens = map[string]int{"wrong": 401}
		case access.Change:
			tokens["look"] = 403
		}
		for token, want := range tokens {
			if want == 200 {
				continue // see TestExamples
			}
			for _, e := range rt.examples() {
				a := ask(s, request(rt.method, rt.target(e.path)+e.query, token, e.body))
				if a.Code != want || a.Header().Get("Content-Type") != "application/problem+json" {
					t.Errorf("%s with the token %q: %d %s", rt.name(), token, a.Code, a.Body)
				}
			}
		}
	}
}

// What others make a browser send is refused on every route that changes something, and a forged Host on every route.
func TestForgedRequests(t *testing.T) {
	s := smallServer(t)
	in := ask(s, request("POST", "/api/session", "", `{"user": "master", "password": "`+secret+`"}`))
	if in.Code != http.StatusOK {
		t.Fatal(in.Code, in.Body)
	}
	for _, rt := range s.routes() {
		e := rt.examples()[0]
		send := func(change func(*http.Request)) int {
			r := request(rt.method, rt.target(e.path)+e.query, "", e.body)
			r.AddCookie(in.Result().Cookies()[0])
			change(r)
			return ask(s, r).Code
		}
		for name, change := range map[string]func(*http.Request){
			"a form of others": func(r *http.Request) {
				r.Header.Set("Sec-Fetch-Site", "cross-site")
				r.Header.Set("Origin", "https://evil.example")
			},
			"another port":    func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "same-site") },
			"an old browser":  func(r *http.Request) { r.Header.Set("Origin", "https://evil.example") },
			"a hidden origin": func(r *http.Request) { r.Header.Set("Origin", "null") },
			"nothing is told": func(r *http.Request) {},
			"a WebSocket": func(r *http.Request) {
				r.Header.Set("Origin", "https://evil.example")
				r.Header.Set("Upgrade", "websocket")
			},
			"a form's own types": func(r *http.Request) { r.Header.Set("Origin", "null"); r.Header.Set("Content-Type", "text/plain") },
		} {
			if code := send(change); code != http.StatusForbidden && (rt.method != http.MethodGet || name == "a WebSocket" || name == "another port") {
				t.Errorf("%s by %s: %d", rt.name(), name, code)
			}
		}
		for _, host := range []string{"evil.example", "127.0.0.1.evil.example:8073", ""} {
			if code := send(func(r *http.Request) { r.Host = host; r.Header.Set("Sec-Fetch-Site", "same-origin") }); code != http.StatusMisdirectedRequest {
				t.Errorf("%s for the host %q: %d", rt.name(), host, code)
			}
		}
	}
}

// hostile are parts of paths that try to get out of where they belong.
var hostile = []string{
	"..", "%2e%2e", ".%2e", "..%2f..%2f..%2f..%2fetc%2fpasswd", "%2e%2e%2f%2e%2e%2fstation.toml", "..%5c..%5cstation.toml", "..%252f..%252fstation.toml", "%2fetc%2fpasswd",
	"station.toml", "archive.db", "1%00", "%00", "1%2f..%2f2", "1;..", "1%0a", "1%0d%0aX:%20y", "%ff%fe", "%c0%ae%c0%ae%2f", "-1", "0", "+1", "01", "01e3", "0x1", "1.0",
	"99999999999999999999", "%EF%BC%91", "NaN", "$(id)", "%7B%7D", "*", strings.Repeat("9", 4000), strings.Repeat("..%2f", 500),
}

// leaks finds what no answer may have: the configuration, the database, files of the system.
var leaks = regexp.MustCompile(`on the roof|SQLite format|root:.*:0:0|\n/(tmp|etc|root)/`)

// No part of a path leads to a file. What a person may name is called as it is said, and makes no file.
func TestTraversal(t *testing.T) {
	s := smallServer(t)
	files := filesOf(t, s.Folder)
	check := func(method, target, body string, named bool) {
		r := request(method, target, "change", body)
		ctx, cancel := context.WithTimeout(r.Context(), time.Second)
		defer cancel()
		a := ask(s, r.WithContext(ctx))
		if a.Code >= 500 || a.Code < 300 && strings.HasPrefix(target, "/api/") && !named || leaks.MatchString(a.Body.String()) {
			t.Errorf("%s %s: %d %.200s", method, target, a.Code, a.Body)
		}
	}
	for _, rt := range s.routes() {
		if strings.Contains(rt.path, "{") {
			for _, part := range hostile {
				check(rt.method, regexp.MustCompile(`\{\w+\}`).ReplaceAllLiteralString(rt.path, part), rt.examples()[0].body, strings.Contains(rt.path, "{name}"))
			}
		}
	}
	for _, part := range hostile {
		for _, before := range []string{"/", "/assets/", "/page/dist/", "/chart/", "/api/", "/api/charts/1/", "/api/../", "/./", "//"} {
			check("GET", before+part, "", false)
		}
	}
	if after := filesOf(t, s.Folder); !slices.Equal(after, files) {
		t.Errorf("the folder of the station has\n%q, and had\n%q", after, files)
	}
}

// filesOf are the names of what is in a folder and beside it.
func filesOf(t *testing.T, folder string) (all []string) {
	t.Helper()
	for _, f := range []string{folder, filepath.Dir(folder)} {
		entries, err := os.ReadDir(f)
		must(t, err)
		for _, e := range entries {
			all = append(all, e.Name())
		}
	}
	return all
}

// What is too large is refused, and nothing of it is done.
func TestOversize(t *testing.T) {
	s := smallServer(t)
	for _, rt := range s.routes() {
		e := rt.examples()[0]
		target := rt.target(e.path)
		if e.body != "" {
			for name, c := range map[string]struct {
				body   string
				length int64
				want   []int
			}{
				"long":         {`{"title": "` + strings.Repeat("x", mostBody) + `"}`, mostBody + 13, []int{413}},
				"endless":      {`{"title": "` + strings.Repeat("x", 4*mostBody) + `"}`, -1, []int{413}},
				"nested":       {strings.Repeat("[", mostBody-1), mostBody - 1, []int{400}},
				"many objects": {strings.Repeat(`{"a":`, mostBody/5), -1, []int{400}},
				"two":          {e.body + e.body, -1, []int{400}},
				"not text":     {"\x00\xff\xfe", -1, []int{400}},
			} {
				r := request(rt.method, target, rt.token(), c.body)
				r.ContentLength = c.length
				if a := ask(s, r); !slices.Contains(c.want, a.Code) {
					t.Errorf("%s with a %s body: %d %.200s", rt.name(), name, a.Code, a.Body)
				}
			}
			r := request(rt.method, target, rt.token(), e.body)
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			if a := ask(s, r); a.Code != http.StatusUnsupportedMediaType {
				t.Errorf("%s with a form: %d", rt.name(), a.Code)
			}
		}
		for _, query := range []string{"?" + strings.Repeat("words=x&", 1800), "?words=" + strings.Repeat("a", 15000), "?%zz", "?" + strings.Repeat("&;=", 4000)} {
			if a := ask(s, request(rt.method, target+query, rt.token(), e.body)); a.Code >= 500 {
				t.Errorf("%s%.20s: %d %.200s", target, query, a.Code, a.Body)
			}
		}
	}
}

// Text that was received never becomes a part of a page: it is JSON of a type that browsers do not guess.
func TestTypes(t *testing.T) {
	s := smallServer(t)
	for _, rt := range s.routes() {
		for _, e := range rt.examples() {
			if rt.method != http.MethodGet {
				continue
			}
			h := ask(s, request(rt.method, rt.target(e.path)+e.query, rt.token(), "")).Header()
			if kind := h.Get("Content-Type"); strings.Contains(kind, "html") || strings.Contains(kind, "svg") || kind == "" || h.Get("X-Content-Type-Options") != "nosniff" {
				t.Errorf("%s: %v", rt.name(), h)
			}
		}
	}
}

// TestSockets has 500 sockets open that say nothing, half a request, or ask and do not read. Others are answered all the same.
func TestSockets(t *testing.T) {
	s := smallServer(t)
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error)
	l := listen(t)
	go func() { ended <- s.ServeOn(ctx, l) }()
	for i := range 500 {
		c := dial(t, l)
		defer c.Close()
		switch i % 4 {
		case 1:
			io.WriteString(c, "GET /api/now HTTP/1.1\r\nHost: lo")
		case 2:
			io.WriteString(c, "POST /api/session HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 1000\r\n\r\n{")
		case 3:
			io.WriteString(c, "GET /api/charts/1/picture HTTP/1.1\r\nHost: localhost\r\nAuthorization: Bearer look\r\n\r\n")
		}
	}
	before := s.Station.Health().Receivers[0]
	for range 5 {
		r, err := http.NewRequest("GET", "http://"+l.Addr().String()+"/api/transmissions?words=gale", nil)
		must(t, err)
		r.Header.Set("Authorization", "Bearer look")
		a, err := http.DefaultClient.Do(r)
		must(t, err)
		b, err := io.ReadAll(a.Body)
		must(t, err)
		a.Body.Close()
		if a.StatusCode != http.StatusOK || !strings.Contains(string(b), "GALE WARNING FISHER") {
			t.Fatal(a.Status, string(b))
		}
	}
	if after := s.Station.Health().Receivers[0]; !after.Connected || after.Lost != before.Lost {
		t.Errorf("%+v", after)
	}
	cancel()
	must(t, <-ended)
}

// FuzzRequest sends any request to a station that has some of everything.
func FuzzRequest(f *testing.F) {
	s := smallServer(f)
	for _, rt := range s.routes() {
		for _, e := range rt.examples() {
			f.Add(rt.method, rt.target(e.path), strings.TrimPrefix(e.query, "?"), e.body)
		}
	}
	for _, part := range hostile {
		f.Add("GET", "/api/charts/"+part+"/picture", "", "")
	}
	f.Fuzz(func(t *testing.T, method, path, query, body string) {
		if regexp.MustCompile(`^[A-Z]{1,10}$`).FindString(method) == "" || !strings.HasPrefix(path, "/") {
			return // the library refuses these
		}
		u, err := url.ParseRequestURI(path + "?" + query)
		if err != nil {
			return
		}
		r := request("GET", "/", "change", body)
		r.Method, r.URL, r.RequestURI = method, u, path+"?"+query
		r.Header.Set("Content-Type", "application/json")
		ctx, cancel := context.WithTimeout(r.Context(), 100*time.Millisecond) // sound has no end
		defer cancel()
		a := httptest.NewRecorder()
		s.Handler().ServeHTTP(a, r.WithContext(ctx))
		if a.Code >= 500 && ctx.Err() == nil || leaks.Match(a.Body.Bytes()) && !strings.HasPrefix(u.Path, "/api/station") {
			t.Errorf("%s %s?%s %q: %d %.300s", method, path, query, body, a.Code, a.Body)
		}
	})
}

// FuzzWords searches for anything: it is found, not found, or said what is wrong with it.
func FuzzWords(f *testing.F) {
	s := smallServer(f)
	for _, words := range []string{"gale", `"gale warning"`, "gale OR storm", "NOT gale", "g?le", "gale*", `"`, "(", "gale NEAR/3 warning", "a:b", "-", "^x", `""`, "NOT", "OR", "AND AND", "\x00", "Ü", "gale -warning", "{a b}:c", strings.Repeat("a* OR ", 50)} {
		f.Add(words, "Analysis")
	}
	f.Fuzz(func(t *testing.T, words, title string) {
		v := url.Values{"words": {words}}
		for _, target := range []string{"/api/transmissions?title=" + url.QueryEscape(title) + "&", "/api/transmissions/1?", "/api/transmissions/export?form=text&"} {
			a := ask(s, request("GET", target+v.Encode(), "look", ""))
			if a.Code != http.StatusOK && a.Code != http.StatusBadRequest {
				t.Errorf("%q: %d %s", words, a.Code, a.Body)
			}
		}
	})
}

package access

import (
	"context"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"testing"
	"testing/synctest"
	"time"
)

// Who is at this computer may do all, unless there are users; nobody else.
func TestWithoutPassword(t *testing.T) {
	tokens := station(t)
	tokens.Users = nil
	wide := tokens
	wide.Listen = "0.0.0.0:8073"
	header := func(name, value string) func(*http.Request) {
		return func(r *http.Request) { r.Header.Set(name, value) }
	}
	for name, c := range map[string]struct {
		config Config
		change func(*http.Request)
		want   string
	}{
		"this computer":         {Config{Listen: "127.0.0.1:8073"}, nil, "change"},
		"IPv6":                  {Config{Listen: "[::1]:8073"}, func(r *http.Request) { r.RemoteAddr = "[::1]:40000" }, "change"},
		"tokens alone":          {tokens, nil, "change"},
		"a token says what":     {tokens, header("Authorization", "Bearer look"), "look program look"},
		"users":                 {station(t), nil, "none"},
		"another computer":      {Config{Listen: "127.0.0.1:8073"}, func(r *http.Request) { r.RemoteAddr = "192.0.2.7:40000" }, "none"},
		"a proxy":               {Config{Listen: "127.0.0.1:8073"}, header("X-Forwarded-For", "192.0.2.7"), "none"},
		"another address":       {wide, nil, "none"},
		"its token":             {wide, header("Authorization", "bearer change"), "change program change"},
		"no known token":        {wide, header("Authorization", "Bearer other"), "401 Unauthorized"},
		"an empty token":        {wide, header("Authorization", "Bearer"), "401 Unauthorized"},
		"another way to log in": {tokens, header("Authorization", "Basic bWF0ZTp3b3Jk"), "401 Unauthorized"},
	} {
		r := ask("GET", "/")
		if c.change != nil {
			c.change(r)
		}
		if got := who(t, send(site(gateOf(t, c.config)), r)); got != c.want {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
}

// A session begins with the password, and ends by logging out.
func TestSession(t *testing.T) {
	h := site(gateOf(t, station(t)))
	cookie := comeIn(t, h, "mate")
	if !cookie.HttpOnly || cookie.SameSite != http.SameSiteStrictMode || cookie.Secure || cookie.Path != "/" || cookie.Domain != "" {
		t.Error(cookie)
	}
	withCookie := func(method, path string) *http.Request {
		r := ask(method, path)
		r.AddCookie(cookie)
		r.Header.Set("Sec-Fetch-Site", "same-origin")
		return r
	}
	if got := who(t, send(h, withCookie("GET", "/"))); got != "mate look" {
		t.Error(got)
	}
	out := send(h, withCookie("POST", "/logout"))
	if len(out.Cookies()) != 1 || out.Cookies()[0].MaxAge >= 0 {
		t.Error("the browser keeps its cookie", out.Cookies())
	}
	if got := who(t, send(h, withCookie("GET", "/"))); got != "none" {
		t.Error("after logging out:", got)
	}
}

// Log in never takes over a session that a browser came with, and ends it.
func TestSessionFixation(t *testing.T) {
	h := site(gateOf(t, station(t)))
	known := comeIn(t, h, "mate")
	for _, before := range []string{known.Value, "made-up-by-another"} {
		r := logIn("master", "master's word")
		r.AddCookie(&http.Cookie{Name: known.Name, Value: before})
		r.Header.Set("Origin", "http://127.0.0.1:8073")
		after := send(h, r).Cookies()
		if len(after) != 1 || after[0].Value == before || len(after[0].Value) < 40 {
			t.Fatal(after)
		}
		again := ask("GET", "/")
		again.AddCookie(&http.Cookie{Name: known.Name, Value: before})
		if got := who(t, send(h, again)); got != "none" {
			t.Errorf("who knew the token before is %s", got)
		}
	}
}

// Sessions end when they are not used, and after some time in any case.
func TestSessionEnds(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := site(gateOf(t, station(t)))
		cookie := comeIn(t, h, "mate")
		now := func() string {
			r := ask("GET", "/")
			r.AddCookie(cookie)
			return who(t, send(h, r))
		}
		began := time.Now()
		for time.Since(began) < lifetime-idleTime {
			time.Sleep(idleTime - time.Minute)
			if got := now(); got != "mate look" {
				t.Fatalf("after %v: %s", time.Since(began), got)
			}
		}
		time.Sleep(time.Until(began.Add(lifetime + time.Second)))
		if got := now(); got != "none" {
			t.Error("after its lifetime:", got)
		}
		cookie = comeIn(t, h, "mate")
		time.Sleep(idleTime + time.Minute)
		if got := now(); got != "none" {
			t.Error("after it was idle:", got)
		}
	})
}

// Who comes with a session is held against the rules in force.
func TestRulesChange(t *testing.T) {
	before := station(t)
	for name, c := range map[string]struct {
		change func(*Config)
		want   string
	}{
		"nothing":         {func(*Config) {}, "master change"},
		"another role":    {func(c *Config) { c.Users[1].Role = Look }, "master look"},
		"another word":    {func(c *Config) { c.Users[1].Password = light(t, "x") }, "none"},
		"no such user":    {func(c *Config) { c.Users = c.Users[:1] }, "none"},
		"tokens are gone": {func(c *Config) { c.Tokens = nil }, "master change"},
	} {
		g := gateOf(t, before)
		h := site(g)
		r := ask("GET", "/")
		r.AddCookie(comeIn(t, h, "master"))
		after := station(t)
		after.Users = append([]User{}, before.Users...)
		c.change(&after)
		g.Change(after)
		if got := who(t, send(h, r)); got != c.want {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
}

// A request that goes on ends with the rights that it came with, and no other.
func TestRequestsEnd(t *testing.T) {
	config := station(t)
	g := gateOf(t, config)
	h := site(g)
	cookie, other := comeIn(t, h, "mate"), comeIn(t, h, "master")
	begun := make(chan struct{})
	streams := g.Handler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		begun <- struct{}{}
		<-r.Context().Done()
	}))
	began := func(change func(*http.Request)) chan struct{} {
		ended := make(chan struct{})
		r := ask("GET", "/")
		change(r)
		go func() {
			defer close(ended)
			streams.ServeHTTP(httptest.NewRecorder(), r)
		}()
		<-begun
		return ended
	}
	goesOn := func(what string, c chan struct{}) {
		t.Helper()
		select {
		case <-c:
			t.Error("it ended:", what)
		default:
		}
	}
	ctx, cancel := context.WithCancel(t.Context())
	bySession := began(func(r *http.Request) { r.AddCookie(cookie) })
	byOther := began(func(r *http.Request) { *r = *r.WithContext(ctx); r.AddCookie(other) })
	byToken := began(func(r *http.Request) { r.Header.Set("Authorization", "Bearer look") })

	out := ask("POST", "/logout")
	out.AddCookie(cookie)
	out.Header.Set("Sec-Fetch-Site", "same-origin")
	send(h, out)
	<-bySession
	goesOn("the session of another", byOther)
	goesOn("a token", byToken)

	config.Tokens = config.Tokens[1:]
	g.Change(config)
	<-byToken
	goesOn("the session of another", byOther)
	cancel()
	<-byOther
	if len(g.visits) != 0 {
		t.Error(len(g.visits), "requests are remembered")
	}
}

// More sessions than there may be end those that were used least lately.
func TestManySessions(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newSessions()
		first, _, err := s.begin(t.Context(), "", "a", "")
		if err != nil {
			t.Fatal(err)
		}
		second, _, _ := s.begin(t.Context(), "", "b", "")
		for range mostSessions - 1 {
			time.Sleep(time.Second)
			s.find(t.Context(), first)
			s.begin(t.Context(), "", "c", "")
		}
		if user, _, _ := s.find(t.Context(), first); user != "a" || s.store.has(second) || len(s.store.all) != mostSessions {
			t.Error(user, s.store.has(second), len(s.store.all))
		}
	})
}

// A proxy is believed only if it is trusted.
func TestProxies(t *testing.T) {
	c := station(t)
	c.Hosts = []string{"station.example"}
	for _, text := range []string{"10.0.0.0/8", "::1"} {
		p, err := ParseProxy(text)
		if err != nil {
			t.Fatal(err)
		}
		c.TrustedProxies = append(c.TrustedProxies, p)
	}
	p := policyOf(c)
	for name, c := range map[string]struct {
		peer    string
		headers http.Header
		address string
		secure  bool
		host    string
	}{
		"none":         {"192.0.2.7:1", nil, "192.0.2.7", false, "127.0.0.1:8073"},
		"not trusted":  {"192.0.2.7:1", http.Header{"X-Forwarded-For": {"198.51.100.1"}, "X-Forwarded-Proto": {"https"}, "X-Forwarded-Host": {"station.example"}}, "192.0.2.7", false, "127.0.0.1:8073"},
		"trusted":      {"10.1.2.3:1", http.Header{"X-Forwarded-For": {"198.51.100.1"}, "X-Forwarded-Proto": {"https"}, "X-Forwarded-Host": {"station.example"}}, "198.51.100.1", true, "station.example"},
		"made up":      {"10.1.2.3:1", http.Header{"X-Forwarded-For": {"127.0.0.1, 198.51.100.1"}}, "198.51.100.1", false, "127.0.0.1:8073"},
		"two lines":    {"10.1.2.3:1", http.Header{"X-Forwarded-For": {"127.0.0.1", "198.51.100.1, 10.9.9.9"}}, "198.51.100.1", false, "127.0.0.1:8073"},
		"nonsense":     {"10.1.2.3:1", http.Header{"X-Forwarded-For": {"198.51.100.1, unknown"}}, "10.1.2.3", false, "127.0.0.1:8073"},
		"nothing said": {"[::1]:1", nil, "::1", false, "127.0.0.1:8073"},
		"mapped":       {"[::ffff:10.1.2.3]:1", http.Header{"X-Forwarded-For": {"2001:db8::1"}}, "2001:db8::1", false, "127.0.0.1:8073"},
	} {
		r := ask("GET", "/")
		r.RemoteAddr = c.peer
		if c.headers != nil {
			r.Header = c.headers
		}
		got, r := p.clientOf(r)
		if got.address != netip.MustParseAddr(c.address) || got.secure != c.secure || r.Host != c.host {
			t.Errorf("%s: %+v %s", name, got, r.Host)
		}
	}
}

package web

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"

	"ionoscribe/copydesk"
	"ionoscribe/internal/access"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/live"
	"ionoscribe/internal/live/livetest"
	"ionoscribe/internal/station"
)

// onAir is a server whose station tells what a test says, at an address.
func onAir(t *testing.T) (s *livetest.Station, server *Server, address string) {
	t.Helper()
	small := smallServer(t)
	s = new(livetest.Station)
	s.SetStatus(station.Status{Name: "north", Connected: true, Since: livetest.Begin, Level: &station.Level{RMS: -20, Peak: -10}})
	c := small.Config
	c.Live = live.New(s)
	server = New(c)
	l := listen(t)
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error)
	go c.Live.Run(ctx)
	go func() { ended <- server.ServeOn(ctx, l) }()
	t.Cleanup(func() {
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	return s, server, l.Addr().String()
}

// connect opens the events of a server.
func connect(t *testing.T, address string, header http.Header) (*websocket.Conn, *http.Response, error) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
	defer cancel()
	return websocket.Dial(ctx, "ws://"+address+"/api/events", &websocket.DialOptions{HTTPHeader: header})
}

func bearer(token string) http.Header { return http.Header{"Authorization": {"Bearer " + token}} }

// Each message of the events is as it is described, and so is the state of all meanwhile.
func TestEventsAreDescribed(t *testing.T) {
	d := describe(t)
	s, server, address := onAir(t)
	c, _, err := connect(t, address, bearer("look"))
	must(t, err)
	defer c.CloseNow()
	wants := `{"want": {"spectrum": ["north"], "lines": [7], "levels": true}}`
	d.validate(t, "wants", "/components/schemas/Wants", []byte(wants))
	must(t, c.Write(t.Context(), websocket.MessageText, []byte(wants)))
	happens := func() {
		s.Tell(7, copydesk.Event{What: copydesk.Began})
		s.Print(7, "GALE WARNING\n")
		s.Tell(7, copydesk.Event{What: copydesk.Changed})
		s.Line(7, 0, []byte{1, 2, 3})
		d.validate(t, "now", "/components/schemas/Now", ask(server, request("GET", "/api/now", "look", "")).Body.Bytes())
		s.Tell(7, copydesk.Event{What: copydesk.Chart})
		s.News(station.News{Event: copydesk.Event{What: station.Saved, Source: "north"}, Transmission: archive.Transmission{ID: 7, Quality: 0.75}, Chart: 5, Title: "Analysis"})
		s.Tell(7, copydesk.Event{What: copydesk.Ended})
		s.News(station.News{Event: copydesk.Event{What: copydesk.Gap, Source: "north", UTC: livetest.Begin, Lost: 100}, Seconds: 1.5})
		s.Tell(0, copydesk.Event{What: copydesk.Trouble, Err: errors.New("it is broken")})
		s.SetStatus(station.Status{Name: "north", Since: livetest.Begin}) // what receivers are may have been told before the page came
	}
	missing := []string{"hello", "began", "text", "changed", "drawing", "chart", "ended", "gap", "trouble", "receivers", "levels"}
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute) // levels go on for ever
	defer cancel()
	for len(missing) > 0 {
		kind, b, err := c.Read(ctx)
		if err != nil {
			t.Fatalf("%v; %q did not come", err, missing)
		}
		if kind != websocket.MessageText {
			continue
		}
		var m struct{ What string }
		must(t, json.Unmarshal(b, &m))
		d.validate(t, m.What, "/components/schemas/Event", b)
		if m.What == "hello" { // until then the page may miss what is told
			happens()
		}
		missing = slices.DeleteFunc(missing, func(what string) bool { return what == m.What })
	}
}

// Events are told to those who may look, by pages of the station alone.
func TestEventsOfOthers(t *testing.T) {
	_, _, address := onAir(t)
	for name, c := range map[string]struct {
		header http.Header
		want   int
	}{
		"nobody":         {http.Header{}, 401},
		"a wrong token":  {bearer("wrong"), 401},
		"another page":   {http.Header{"Authorization": {"Bearer look"}, "Origin": {"https://evil.example"}}, 403},
		"another port":   {http.Header{"Authorization": {"Bearer look"}, "Origin": {"http://127.0.0.1:1"}}, 403},
		"another host":   {http.Header{"Authorization": {"Bearer look"}, "Host": {"evil.example"}}, 421},
		"a hidden place": {http.Header{"Authorization": {"Bearer look"}, "Origin": {"null"}, "Sec-Fetch-Site": {"cross-site"}}, 403},
	} {
		host := c.header.Get("Host")
		c.header.Del("Host")
		ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
		_, a, err := websocket.Dial(ctx, "ws://"+address+"/api/events", &websocket.DialOptions{HTTPHeader: c.header, Host: host})
		cancel()
		if err == nil || a == nil || a.StatusCode != c.want {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Events end with the right to see them.
func TestEventsEnd(t *testing.T) {
	_, server, address := onAir(t)
	in := ask(server, request("POST", "/api/session", "", `{"user": "mate", "password": "`+secret+`"}`))
	cookie := in.Header().Get("Set-Cookie")
	cookie = cookie[:strings.IndexByte(cookie, ';')]
	header := http.Header{"Cookie": {cookie}, "Origin": {"http://" + address}}
	bySession, _, err := connect(t, address, header)
	must(t, err)
	defer bySession.CloseNow()
	byToken, _, err := connect(t, address, bearer("look"))
	must(t, err)
	defer byToken.CloseNow()
	ends := func(what string, c *websocket.Conn) {
		t.Helper()
		ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
		defer cancel()
		for {
			if _, _, err := c.Read(ctx); ctx.Err() != nil {
				t.Fatalf("%s: the events go on", what)
			} else if err != nil {
				return
			}
		}
	}
	out := request("DELETE", "/api/session", "", "")
	out.Header.Set("Cookie", cookie)
	out.Header.Set("Sec-Fetch-Site", "same-origin")
	if a := ask(server, out); a.Code != http.StatusOK {
		t.Fatal(a.Code, a.Body)
	}
	ends("logged out", bySession)
	c := server.Config.Access
	c.Tokens = []access.Token{c.Tokens[1]}
	server.Change(c)
	ends("a token that is gone", byToken)
}

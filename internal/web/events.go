package web

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"time"

	"github.com/coder/websocket"

	"ionoscribe/internal/live"
)

const (
	// mostAsked is the size in bytes of what a client may say: names of some receivers.
	mostAsked = 8 << 10
	// pingEvery finds out whether a client is still there; one that does not answer in that time is not.
	pingEvery = 20 * time.Second
	// writeWithin is how long a client may take for a message: it has a second's rows in its own buffers.
	writeWithin = 10 * time.Second
)

// events sends what happens, as it happens, over a WebSocket (RFC 6455). ?after=NUMBER goes on after a message.
func (s *Server) events(w http.ResponseWriter, r *http.Request) (any, error) {
	q := queryOf(r, "after")
	after := q.integer("after")
	if q.err != nil {
		return nil, q.err
	}
	if r.Header.Get("Upgrade") == "" {
		return nil, problemOf(http.StatusUpgradeRequired, "this address speaks WebSocket alone")
	}
	// Hosts and origins have passed access.
	c, err := websocket.Accept(w, r, &websocket.AcceptOptions{InsecureSkipVerify: true, CompressionMode: websocket.CompressionDisabled})
	if err != nil {
		return nil, nil // it has answered
	}
	defer c.CloseNow()
	c.SetReadLimit(mostAsked)
	ctx, cancel := context.WithCancel(r.Context())
	defer cancel()
	client := s.Live.Join(after)
	defer client.Leave()
	go func() {
		defer cancel()
		hearWants(ctx, c, client)
	}()
	go func() {
		defer cancel()
		ping(ctx, c)
	}()
	for {
		m, err := client.Next(ctx)
		switch {
		case errors.Is(err, live.ErrSlow):
			c.Close(websocket.StatusTryAgainLater, err.Error())
			return nil, nil
		case err != nil:
			c.Close(websocket.StatusGoingAway, "")
			return nil, nil
		}
		if err := send(ctx, c, m); err != nil {
			return nil, nil
		}
	}
}

func send(ctx context.Context, c *websocket.Conn, m live.Message) error {
	ctx, cancel := context.WithTimeout(ctx, writeWithin)
	defer cancel()
	if m.Text != nil {
		return c.Write(ctx, websocket.MessageText, m.Text)
	}
	return c.Write(ctx, websocket.MessageBinary, m.Data)
}

// hearWants reads what the client wants until it is gone or says something wrong.
func hearWants(ctx context.Context, c *websocket.Conn, client *live.Client) {
	for {
		kind, b, err := c.Read(ctx)
		if err != nil {
			return
		}
		var said struct{ Want *live.Want }
		if err := json.Unmarshal(b, &said); err != nil || kind != websocket.MessageText || said.Want == nil {
			c.Close(websocket.StatusUnsupportedData, `say {"want":{"spectrum":["name"],"lines":[1],"levels":true}}`)
			return
		}
		client.Want(*said.Want)
	}
}

// ping ends when the client does not answer.
func ping(ctx context.Context, c *websocket.Conn) {
	t := time.NewTicker(pingEvery)
	defer t.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-t.C:
		}
		ctx, cancel := context.WithTimeout(ctx, pingEvery)
		err := c.Ping(ctx)
		cancel()
		if err != nil {
			return
		}
	}
}

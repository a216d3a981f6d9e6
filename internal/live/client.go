package live

import (
	"context"
	"errors"
	"sync"
)

// Want is what a client wants besides messages.
type Want struct {
	Spectrum []string `json:"spectrum"` // names of receivers
	Lines    []int64  `json:"lines"`    // transmissions whose charts it wants line by line
	Levels   bool     `json:"levels"`
}

// Bounds of a client's queue. Messages are some hundred bytes, a row is a kilobyte, and all clients share them.
const (
	mostQueued     = 4096 // messages: more than four busy receivers make in a minute
	mostQueuedRows = 256  // six seconds of four receivers, or the lines that a chart has by the time that it is found
	mostWanted     = 64   // receivers, and transmissions
)

// ErrSlow is the end of a client that does not take its messages.
var ErrSlow = errors.New("it did not take its messages in time; it may come again and go on after the last one that it has")

// Client is one that hears what comes.
type Client struct {
	hub   *Hub
	first []byte // message, before all others

	mutex    sync.Mutex
	spectrum map[string]bool
	lines    map[int64]bool
	levels   bool
	messages [][]byte
	rows     [][]byte
	latest   []byte // levels, which the next ones replace
	slow     bool
	ready    chan struct{}
}

// Want says what the client wants from now on.
func (c *Client) Want(w Want) {
	spectrum, lines := map[string]bool{}, map[int64]bool{}
	for _, name := range w.Spectrum[:min(len(w.Spectrum), mostWanted)] {
		spectrum[name] = true
	}
	for _, id := range w.Lines[:min(len(w.Lines), mostWanted)] {
		lines[id] = true
	}
	c.mutex.Lock()
	c.spectrum, c.lines, c.levels = spectrum, lines, w.Levels
	c.mutex.Unlock()
	c.hub.wants()
}

// Next waits for what comes next: messages before rows.
func (c *Client) Next(ctx context.Context) (Message, error) {
	for {
		if m, ok, err := c.take(); ok || err != nil {
			return m, err
		}
		select {
		case <-c.ready:
		case <-ctx.Done():
			return Message{}, ctx.Err()
		}
	}
}

func (c *Client) take() (m Message, ok bool, err error) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	switch {
	case c.first != nil:
		m.Text, c.first = c.first, nil
	case len(c.messages) > 0:
		m.Text, c.messages = c.messages[0], c.messages[1:]
	case c.slow:
		return m, false, ErrSlow
	case c.latest != nil:
		m.Text, c.latest = c.latest, nil
	case len(c.rows) > 0:
		m.Data, c.rows = c.rows[0], c.rows[1:]
	default:
		return m, false, nil
	}
	return m, true, nil
}

// Leave ends it.
func (c *Client) Leave() { c.hub.leave(c) }

// message queues a message. One that has not taken the last thousands is given up.
func (c *Client) message(text []byte) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	if c.slow {
		return
	}
	if len(c.messages) == mostQueued {
		c.slow, c.messages, c.rows = true, nil, nil
	} else {
		c.messages = append(c.messages, text)
	}
	c.wake()
}

// row queues a row; the oldest one is dropped if there are too many.
func (c *Client) row(data []byte) {
	if c.slow {
		return
	}
	if len(c.rows) == mostQueuedRows {
		c.rows = c.rows[1:]
	}
	c.rows = append(c.rows, data)
	c.wake()
}

func (c *Client) wake() {
	select {
	case c.ready <- struct{}{}:
	default:
	}
}

// spectrumRow, chartLine and levelsNow queue what the client wants.
func (c *Client) spectrumRow(receiver string, data []byte) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	if c.spectrum[receiver] {
		c.row(data)
	}
}

func (c *Client) chartLine(id int64, data []byte) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	if c.lines[id] {
		c.row(data)
	}
}

func (c *Client) levelsNow(text []byte) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	if c.levels {
		c.latest = text
		c.wake()
	}
}

package live

import "time"

// mostHistory in bytes is some twenty minutes of four busy receivers; a client that was away for longer begins anew.
const mostHistory = 4 << 20

// history is the latest messages, numbered without holes.
type history struct {
	messages [][]byte
	last     int64 // number of the latest one
	bytes    int
}

// newHistory begins with a number that no earlier run has come to, unless it told of more than a thousand messages a second.
func newHistory(now time.Time) history { return history{last: now.UnixMilli()} }

func (h *history) add(m []byte) {
	h.last++
	h.messages = append(h.messages, m)
	h.bytes += len(m)
	for h.bytes > mostHistory {
		h.bytes -= len(h.messages[0])
		h.messages[0] = nil
		h.messages = h.messages[1:]
	}
}

// after gives the messages after a number; false: some of them are gone, or are too many for a queue, or it is none of this run.
func (h *history) after(number int64) ([][]byte, bool) {
	behind := h.last - number
	if number == 0 || behind < 0 || behind > int64(len(h.messages)) || behind >= mostQueued/2 {
		return nil, false
	}
	return h.messages[int64(len(h.messages))-behind:], true
}

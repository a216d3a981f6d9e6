package draw

import "sync"

// Sender is what the charts of a stream tell of the charts behind them: the sideband and the line clock. It may be used by
// more than one goroutine.
type Sender struct {
	mutex sync.Mutex
	known known
}

// known is what is known of a sender before a chart of its.
type known struct {
	sideband float64 // log-likelihood ratio that white is the higher frequency, in nats (see polarity.go)
	before   carried // line clock of an earlier chart
}

// NewSender is one of which nothing was received.
func NewSender() *Sender { return &Sender{known: known{sideband: usualSideband}} }

// Draw draws a chart of the sender from its video, which the chart then owns, and keeps what it tells of the next one. It
// returns nil if it is none: too short, or doubtful where that is not ordered. A chart that goes on gets no video, is never
// too doubtful, and tells nothing. Charts are drawn in the order in which they were sent.
func (s *Sender) Draw(v *Video, h Heard, o Orders) *Chart {
	s.mutex.Lock()
	before := s.known
	s.mutex.Unlock()
	ch := finish(v, h, o, before)
	if ch == nil {
		return nil
	}
	if h.Ended == "" {
		ch.Ended, ch.Video = EndedInput, nil
		return ch
	}
	if !o.Doubtful && ch.doubtful() {
		return nil
	}
	s.mutex.Lock()
	defer s.mutex.Unlock()
	s.known.sideband = nextSideband(ch.sideband)
	if next := ch.carry(o.LineStart); next.period != 0 {
		s.known.before = next
	}
	return ch
}

package copydesk

import (
	"sync"
	"time"

	"ionoscribe/fax"
	"ionoscribe/internal/mode"
	"ionoscribe/survey"
)

// What says what an event tells of.
type What string

// Of a source as a whole are Gap, and Trouble that is no transmission's; all else is of a transmission.
const (
	Began   What = "began"   // it was found: some seconds after its beginning
	Changed What = "changed" // more is known of it, or its decoder tells of a change
	Text    What = "text"    // a character, or what a procedure signal or a control is shown as
	Line    What = "line"    // of a chart that is coming in
	Chart   What = "chart"   // that is complete and drawn
	Ended   What = "ended"   // nothing more comes of it
	Gap     What = "gap"     // samples were lost; silence stands for them
	Trouble What = "trouble" // something failed; all else goes on
)

// Event is one thing that is told of what is copied.
type Event struct {
	Number int64 // from 1, in order, without holes
	What   What
	Source string
	At     int64     // sample index of the source
	UTC    time.Time // of that sample

	Transmission int            // its number, from 1 for each source; 0: the source as a whole
	Finding      survey.Finding // what is known of the transmission by now
	Copied       bool           // it has, or had, a decoder

	Text       string
	Confidence float64 // of Text
	// Heard is what the decoder told, of Text and Changed, or nil: the survey told. Its sample index is one of the source, and
	// its frequency one of the band.
	Heard  *mode.Heard
	Row    int           // of Line, from 0
	Pixels func() []byte // of Line: its brightness, as wide as the chart; valid while the event is told
	Chart  *fax.Chart
	Lost   int64 // of Gap, samples
	Over   bool  // of Gap: no more are lost by now
	Err    error // of Trouble
}

// Stream numbers the events of one or more desks and tells all listeners of each, one event at a time.
type Stream struct {
	mutex     sync.Mutex
	listeners []func(Event)
	number    int64
}

// Listen adds a listener, before the first event. It must not call the stream, nor a desk.
func (s *Stream) Listen(f func(Event)) { s.listeners = append(s.listeners, f) }

// Do calls f while no listener is called.
func (s *Stream) Do(f func()) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	f()
}

func (s *Stream) tell(e Event) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	s.number++
	e.Number = s.number
	for _, f := range s.listeners {
		f(e)
	}
}

package station

import (
	"log/slog"
	"sync"
	"time"

	"ionoscribe/internal/soundring"
)

// sound keeps the sound of a receiver, if that is wanted.
type sound struct {
	dir, receiver string
	age           time.Duration // 0: none is kept, unless there is a limit in bytes
	bytes         int64         // 0: without limit
	log           *slog.Logger

	mutex sync.Mutex
	ring  *soundring.Ring
}

func (s *sound) open(in *Input) {
	if s.age == 0 && s.bytes == 0 {
		return
	}
	r, err := soundring.Open(s.dir, s.receiver, soundring.Config{SampleRate: in.SampleRate, IQ: in.IQ, Age: s.age, Bytes: s.bytes, Note: s.log.Warn})
	if err != nil {
		s.log.Error("sound is not kept", "receiver", s.receiver, "error", err)
		return
	}
	s.mutex.Lock()
	s.ring = r
	s.mutex.Unlock()
}

func (s *sound) write(b Block, at time.Time) {
	switch r := s.now(); {
	case r == nil:
	case b.IQ != nil:
		r.WriteIQ(b.IQ, at)
	default:
		r.Write(b.Audio, at)
	}
}

// now is the ring, nil if there is none.
func (s *sound) now() *soundring.Ring {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.ring
}

func (s *sound) close() {
	s.mutex.Lock()
	r := s.ring
	s.ring = nil
	s.mutex.Unlock()
	if r == nil {
		return
	}
	if err := r.Close(); err != nil {
		s.log.Error("sound", "receiver", s.receiver, "error", err)
	}
}

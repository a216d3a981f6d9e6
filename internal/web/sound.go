package web

import (
	"errors"
	"net/http"

	"ionoscribe/audio"
	"ionoscribe/internal/access"
	"ionoscribe/internal/live"
)

func (s *Server) soundRoutes() []route {
	return []route{{"GET", "/api/receivers/{receiver}/sound", access.Look, s.sound}}
}

// sound is what is heard in a passband, a WAV that does not end.
func (s *Server) sound(w http.ResponseWriter, r *http.Request) (any, error) {
	q := queryOf(r, "low_hz", "high_hz")
	p := live.Passband{LowHz: q.number("low_hz"), HighHz: q.number("high_hz")}
	if q.text("high_hz") == "" && q.text("low_hz") != "" {
		q.wrong(badRequest("give high_hz too, or neither"))
	}
	if q.err != nil {
		return nil, q.err
	}
	l, err := s.Live.Listen(r.PathValue("receiver"), p)
	switch {
	case errors.Is(err, live.ErrNoReceiver):
		return nil, notFound("there is no receiver %q", r.PathValue("receiver"))
	case errors.Is(err, live.ErrManyListeners):
		return nil, problemOf(http.StatusServiceUnavailable, "%v", err)
	case err != nil:
		return nil, badRequest("%v", err)
	}
	defer l.Close()
	w.Header().Set("Content-Type", "audio/wav")
	w.Header().Set("Cache-Control", "no-store")
	if r.Method == http.MethodHead {
		return nil, nil
	}
	wav, err := audio.NewWAVWriter(w, live.HeardRate, audio.S16)
	if err != nil {
		return nil, err
	}
	control := http.NewResponseController(w)
	for {
		x, err := l.Next(r.Context())
		if err != nil {
			return nil, nil // the listener is gone
		}
		wav.WriteSamples(x)
		if wav.Flush() != nil || control.Flush() != nil {
			return nil, nil
		}
	}
}

package web

import (
	"encoding/json"
	"errors"
	"log/slog"
	"net/http"

	"ionoscribe/internal/access"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/station"
)

// Config of a Server.
type Config struct {
	Folder  string // of the station
	Station *station.Station
	Archive *archive.Archive
	Log     *slog.Logger
}

// Server answers requests for the page and the interface.
type Server struct {
	Config
	mux *http.ServeMux
}

// route is one of the interface.
type route struct {
	method, path string // as http.ServeMux has them: "/api/charts/{chart}"
	role         access.Role
	// serve returns what is written as JSON; nil: it has written the answer itself.
	serve func(w http.ResponseWriter, r *http.Request) (any, error)
}

// New makes a server.
func New(c Config) *Server {
	s := &Server{Config: c, mux: http.NewServeMux()}
	for _, r := range s.routes() {
		s.mux.Handle(r.method+" "+r.path, s.answer(r))
	}
	s.mux.HandleFunc("/api/", func(w http.ResponseWriter, r *http.Request) {
		s.refuse(w, r, notFound("there is no such address; /api/openapi.json lists those that there are"))
	})
	s.mux.Handle("/", page())
	return s
}

// routes are those of all subjects.
func (s *Server) routes() []route {
	return nil
}

// Handler answers all requests.
func (s *Server) Handler() http.Handler { return s.mux }

// answer serves a route.
func (s *Server) answer(rt route) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, mostBody)
		v, err := rt.serve(w, r)
		switch {
		case err != nil:
			s.refuse(w, r, err)
		case v != nil:
			writeJSON(w, v)
		}
	})
}

// mostBody is the size in bytes that a request's body may have: the longest is a station.toml.
const mostBody = 64 << 10

func writeJSON(w http.ResponseWriter, v any) {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err) // all that is answered can be written
	}
	h := w.Header()
	h.Set("Content-Type", "application/json")
	if h.Get("Cache-Control") == "" {
		h.Set("Cache-Control", "no-store")
	}
	w.Write(b) // a client that is gone does not matter
}

// refuse answers with an error.
func (s *Server) refuse(w http.ResponseWriter, r *http.Request, err error) {
	p, ok := errors.AsType[*problem](err)
	if tooLong, is := errors.AsType[*http.MaxBytesError](err); is {
		p, ok = problemOf(http.StatusRequestEntityTooLarge, "the body may have %d bytes", tooLong.Limit), true
	}
	if !ok {
		if r.Context().Err() == nil {
			s.Log.Error("a request failed", "method", r.Method, "path", r.URL.Path, "error", err)
		}
		p = problemOf(http.StatusInternalServerError, "%v", err)
	}
	p.write(w)
}

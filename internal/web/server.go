package web

import (
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"math"
	"net"
	"net/http"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"ionoscribe/internal/access"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/live"
	"ionoscribe/internal/station"
	"ionoscribe/internal/stationfile"
)

// Config of a Server.
type Config struct {
	Folder  string // of the station
	Station *station.Station
	Archive *archive.Archive
	Live    *live.Hub
	Access  access.Config
	Checks  stationfile.Checks // of a station.toml that is to be written
	Version string             // of the program
	Log     *slog.Logger
}

// Server answers requests for the page and the interface.
type Server struct {
	Config
	gate *access.Gate
	mux  *http.ServeMux

	exports chan struct{} // one at a time
	trials  chan struct{} // likewise
	videos  *videos
	easel   *easel
	clock   func() time.Time // the station's, which is not this computer's if the station hears recordings
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
	s := &Server{Config: c, mux: http.NewServeMux(), exports: make(chan struct{}, 1), trials: make(chan struct{}, 1), clock: time.Now}
	s.videos, s.easel = newVideos(s.openFile), newEasel()
	if c.Station != nil {
		s.clock = c.Station.Time
	}
	s.gate = access.New(c.Access, func(w http.ResponseWriter, r *http.Request, no *access.Refusal) { s.refuse(w, r, no) }, c.Log)
	for _, r := range s.routes() {
		s.mux.Handle(r.method+" "+r.path, s.answer(r))
	}
	for _, p := range []string{"/api/", "/health", "/metrics"} {
		s.mux.HandleFunc(p, s.nowhere)
	}
	s.mux.Handle("/", page())
	return s
}

// routes are those of all subjects.
func (s *Server) routes() []route {
	return slices.Concat(
		s.sessionRoutes(),
		s.healthRoutes(),
		s.nowRoutes(),
		s.soundRoutes(),
		s.openapiRoutes(),
		s.transmissionRoutes(),
		s.chartRoutes(),
		s.pictureRoutes(),
		s.previewRoutes(),
		s.redrawRoutes(),
		s.dayRoutes(),
		s.alertRoutes(),
		s.ruleRoutes(),
		s.stationRoutes(),
		s.receiverRoutes(),
	)
}

// nowhere answers what no route answers.
func (s *Server) nowhere(w http.ResponseWriter, r *http.Request) {
	var allowed []string
	for _, method := range []string{"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE"} {
		as := *r
		as.Method = method
		if _, pattern := s.mux.Handler(&as); strings.Contains(pattern, " ") { // which has a method
			allowed = append(allowed, method)
		}
	}
	if allowed == nil {
		s.refuse(w, r, notFound("there is no such address; /api/openapi.json lists those that there are"))
		return
	}
	w.Header().Set("Allow", strings.Join(allowed, ", "))
	s.refuse(w, r, problemOf(http.StatusMethodNotAllowed, "%s is not done here; there are: %s", r.Method, strings.Join(allowed, ", ")))
}

// Handler answers all requests of those that may come in.
func (s *Server) Handler() http.Handler { return s.gate.Handler(s.mux) }

// Serve answers requests at the configured address until ctx ends.
func (s *Server) Serve(ctx context.Context) { s.gate.Serve(ctx, s.mux) }

// ServeOn answers requests of a listener until ctx ends, and closes it.
func (s *Server) ServeOn(ctx context.Context, l net.Listener) error {
	return s.gate.ServeOn(ctx, l, s.mux)
}

// Change puts other rules in force for who may come in, and where.
func (s *Server) Change(c access.Config) { s.gate.Change(c) }

// answer serves a route.
func (s *Server) answer(rt route) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer s.survive(w, r)
		r.Body = http.MaxBytesReader(w, r.Body, mostBody)
		w.Header().Set("Cache-Control", "no-store") // a handler may say something else
		var v any
		err := access.Require(r, rt.role)
		if err == nil && (!utf8.ValidString(r.URL.Path) || strings.ContainsFunc(r.URL.Path, unicode.IsControl)) {
			err = notFound("nothing has a name with such characters")
		}
		if err == nil {
			v, err = rt.serve(w, r)
		}
		switch {
		case err != nil:
			s.refuse(w, r, err)
		case v != nil:
			writeJSON(w, v)
		}
	})
}

// survive answers with an error if a handler panics; what is wrong with it is for the log.
func (s *Server) survive(w http.ResponseWriter, r *http.Request) {
	fault := recover()
	switch {
	case fault == nil:
	case fault == http.ErrAbortHandler:
		panic(fault)
	default:
		s.Log.Error("a fault of the page", "method", r.Method, "path", r.URL.Path, "fault", fault, "stack", string(debug.Stack()))
		problemOf(http.StatusInternalServerError, "the program has a fault, which its log tells of").write(w)
	}
}

// mostBody is the size in bytes that a request's body may have: the longest is a station.toml.
const mostBody = 64 << 10

func writeJSON(w http.ResponseWriter, v any) {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err) // all that is answered can be written
	}
	w.Header().Set("Content-Type", "application/json")
	w.Write(b) // a client that is gone does not matter
}

// refuse answers with an error.
func (s *Server) refuse(w http.ResponseWriter, r *http.Request, err error) {
	p, ok := errors.AsType[*problem](err)
	if tooLong, is := errors.AsType[*http.MaxBytesError](err); is {
		p, ok = problemOf(http.StatusRequestEntityTooLarge, "the body may have %d bytes", tooLong.Limit), true
	}
	if no, is := errors.AsType[*access.Refusal](err); is {
		p, ok = problemOf(no.Status, "%s", no.Detail), true
		if no.Status == http.StatusUnauthorized {
			w.Header().Set("WWW-Authenticate", "Bearer") // a browser asks nobody for that
		}
		if no.Wait > 0 {
			w.Header().Set("Retry-After", strconv.Itoa(int(math.Ceil(no.Wait.Seconds()))))
		}
	}
	if !ok {
		if r.Context().Err() == nil {
			s.Log.Error("a request failed", "method", r.Method, "path", r.URL.Path, "error", err)
		}
		p = problemOf(http.StatusInternalServerError, "%v", err)
	}
	p.write(w)
}

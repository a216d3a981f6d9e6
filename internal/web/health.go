package web

import (
	"encoding/json"
	"net/http"

	"ionoscribe/internal/access"
	"ionoscribe/internal/station"
)

// healthRoutes are for programs that supervise the station; their addresses are those that such programs expect.
func (s *Server) healthRoutes() []route {
	metrics := s.Station.Metrics()
	return []route{
		{"GET", "/health", access.None, s.health},
		{"GET", "/metrics", access.Look, func(w http.ResponseWriter, r *http.Request) (any, error) {
			metrics.ServeHTTP(w, r)
			return nil, nil
		}},
	}
}

// health answers with an error's status if the station is not well, which is all that some programs look at.
func (s *Server) health(w http.ResponseWriter, r *http.Request) (any, error) {
	h := s.Station.Health()
	if access.VisitorOf(r).Role == access.None {
		h.Receivers, h.Lost.Sound, h.Trouble = []station.Status{}, nil, "" // which others need not know
	}
	if h.Well {
		return h, nil
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(http.StatusServiceUnavailable)
	json.NewEncoder(w).Encode(h) // a client that is gone does not matter
	return nil, nil
}

package web

import (
	"image/png"
	"net/http"

	"ionoscribe/internal/access"
	"ionoscribe/internal/archive"
)

// nowRoutes tell what is on the air.
func (s *Server) nowRoutes() []route {
	return []route{
		{"GET", "/api/now", access.Look, s.now},
		{"GET", "/api/transmissions/{transmission}/drawing", access.Look, s.drawing},
		{"GET", "/api/events", access.Look, s.events},
	}
}

func (s *Server) now(w http.ResponseWriter, r *http.Request) (any, error) {
	if q := queryOf(r); q.err != nil {
		return nil, q.err
	}
	return s.Live.Now(), nil
}

// drawing is a picture of the chart that is coming in, as far as it has come.
func (s *Server) drawing(w http.ResponseWriter, r *http.Request) (any, error) {
	id, err := numberIn(r, "transmission")
	if err != nil {
		return nil, err
	}
	if q := queryOf(r); q.err != nil {
		return nil, q.err
	}
	m := s.Live.Drawing(archive.ID(id))
	if m == nil {
		return nil, notFound("no chart of transmission %d is coming in; one that is complete is in /api/transmissions/%[1]d", id)
	}
	w.Header().Set("Content-Type", "image/png")
	w.Header().Set("Cache-Control", "no-store")
	(&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(w, m) // a client that is gone does not matter
	return nil, nil
}

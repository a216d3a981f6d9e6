package web

import (
	"encoding/json"
	"fmt"
	"net/http"
)

// problem is an error as the interface tells it, RFC 9457.
type problem struct {
	Title  string `json:"title"`
	Status int    `json:"status"`
	Detail string `json:"detail"` // a sentence, with the mend
	// Problems are those of a configuration that is wrong.
	Problems []configProblem `json:"problems,omitempty"`
}

func (p *problem) Error() string { return p.Detail }

func problemOf(status int, detail string, args ...any) *problem {
	return &problem{Title: http.StatusText(status), Status: status, Detail: fmt.Sprintf(detail, args...)}
}

func notFound(detail string, args ...any) error {
	return problemOf(http.StatusNotFound, detail, args...)
}

func badRequest(detail string, args ...any) error {
	return problemOf(http.StatusBadRequest, detail, args...)
}

func conflict(detail string, args ...any) error {
	return problemOf(http.StatusConflict, detail, args...)
}

func (p *problem) write(w http.ResponseWriter) {
	h := w.Header()
	h.Set("Content-Type", "application/problem+json")
	h.Set("Cache-Control", "no-store")
	w.WriteHeader(p.Status)
	json.NewEncoder(w).Encode(p) // a client that is gone does not matter
}

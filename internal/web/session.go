package web

import (
	"net/http"

	"ionoscribe/internal/access"
)

// session is who is logged in.
type session struct {
	Role           access.Role `json:"role"`
	User           string      `json:"user"`            // or the name of a program's token
	PasswordNeeded bool        `json:"password_needed"` // users log in
}

func (s *Server) sessionRoutes() []route {
	return []route{
		{"GET", "/api/session", access.None, s.session},
		{"POST", "/api/session", access.None, s.logIn},
		{"DELETE", "/api/session", access.None, s.logOut},
	}
}

func (s *Server) sessionOf(v access.Visitor) session {
	return session{Role: v.Role, User: v.Name, PasswordNeeded: s.gate.PasswordNeeded()}
}

func (s *Server) session(_ http.ResponseWriter, r *http.Request) (any, error) {
	return s.sessionOf(access.VisitorOf(r)), queryOf(r).err
}

func (s *Server) logIn(w http.ResponseWriter, r *http.Request) (any, error) {
	var in struct {
		User     string `json:"user"`
		Password string `json:"password"`
	}
	if err := read(r, &in); err != nil {
		return nil, err
	}
	v, err := s.gate.LogIn(w, r, in.User, in.Password)
	if err != nil {
		return nil, err
	}
	return s.sessionOf(v), nil
}

func (s *Server) logOut(w http.ResponseWriter, r *http.Request) (any, error) {
	return s.sessionOf(s.gate.LogOut(w, r)), nil
}

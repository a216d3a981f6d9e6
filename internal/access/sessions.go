package access

import (
	"context"
	"net/http"
	"sync"
	"time"

	"github.com/alexedwards/scs/v2"
)

// How long a session lasts. Who looks each morning need not log in, even if a day is missed; a browser that was left behind is
// shut out after that, and a cookie that was stolen is worth nothing after two weeks.
const (
	idleTime = 50 * time.Hour
	lifetime = 14 * 24 * time.Hour
)

// mostSessions is more than the operators of a station have; with more, the one that was used least lately ends.
const mostSessions = 1000

// sessions are those of users that logged in. They are kept in memory: after a restart, users log in again.
type sessions struct {
	manager *scs.SessionManager
	store   *store
}

func newSessions() *sessions {
	s := &store{all: map[string]*kept{}}
	return &sessions{manager: &scs.SessionManager{Store: s, Lifetime: lifetime, Codec: scs.GobCodec{}}, store: s}
}

// Keys of a session's values.
const (
	userKey  = "user"
	printKey = "print" // of the user's password, so that a new one ends the session
)

// begin makes a session in place of another one. Its token is always a new one: what a browser had before may be known to others.
func (s *sessions) begin(ctx context.Context, before, user, print string) (token string, ends time.Time, err error) {
	if ctx, err = s.manager.Load(ctx, before); err != nil {
		return "", ends, err
	}
	if err := s.manager.RenewToken(ctx); err != nil {
		return "", ends, err
	}
	s.manager.Put(ctx, userKey, user)
	s.manager.Put(ctx, printKey, print)
	return s.manager.Commit(ctx)
}

// find tells whose session a token is of.
func (s *sessions) find(ctx context.Context, token string) (user, print string, ends time.Time) {
	ctx, err := s.manager.Load(ctx, token)
	if err != nil {
		return "", "", ends
	}
	return s.manager.GetString(ctx, userKey), s.manager.GetString(ctx, printKey), s.manager.Deadline(ctx)
}

// store keeps sessions for scs. It counts their idle time itself: scs would write a session again at each request, and so bring
// one back that ends at the same moment.
type store struct {
	mu  sync.Mutex
	all map[string]*kept
}

type kept struct {
	data []byte
	ends time.Time
	used time.Time
}

// Find gives the data of a session that has not ended.
func (s *store) Find(token string) ([]byte, bool, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	k, ok := s.all[token]
	now := time.Now()
	if !ok || !now.Before(k.ends) || now.Sub(k.used) > idleTime {
		delete(s.all, token)
		return nil, false, nil
	}
	k.used = now
	return k.data, true, nil
}

// has says that a session goes on.
func (s *store) has(token string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.all[token] != nil
}

// Commit keeps a session.
func (s *store) Commit(token string, data []byte, ends time.Time) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.all) >= mostSessions {
		least := ""
		for t, k := range s.all {
			if least == "" || k.used.Before(s.all[least].used) {
				least = t
			}
		}
		delete(s.all, least)
	}
	s.all[token] = &kept{data: data, ends: ends, used: time.Now()}
	return nil
}

// Delete ends a session.
func (s *store) Delete(token string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.all, token)
	return nil
}

// cookieName has the port in it, since a browser sends cookies to all ports of a computer, where another station may be. With TLS
// the prefix keeps others from setting it (RFC 6265bis).
func (p *policy) cookieName(secure bool) string {
	if secure {
		return "__Host-ionoscribe-" + p.port
	}
	return "ionoscribe-" + p.port
}

// cookie is that of a session; one without a token ends.
func (p *policy) cookie(secure bool, token string, ends time.Time) *http.Cookie {
	c := &http.Cookie{
		Name: p.cookieName(secure), Value: token, Path: "/", Expires: ends,
		HttpOnly: true, Secure: secure, SameSite: http.SameSiteStrictMode,
	}
	if token == "" {
		c.MaxAge = -1
	}
	return c
}

// sessionOf is the token in a request's cookie.
func (p *policy) sessionOf(r *http.Request, secure bool) string {
	c, err := r.Cookie(p.cookieName(secure))
	if err != nil {
		return ""
	}
	return c.Value
}

package access

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"time"
)

// Visitor is who asks.
type Visitor struct {
	Name string // of the user or the token; "" without one
	Role Role
}

// visit is a request of a visitor, and by what it came in: a token, a session, or neither.
type visit struct {
	Visitor
	token   *Token
	session string
	print   string    // of the password that the session began with
	ends    time.Time // of the session
	client  client
}

type visitKey struct{}

// VisitorOf is who has sent a request that came through [Gate.Handler].
func VisitorOf(r *http.Request) Visitor {
	v, _ := r.Context().Value(visitKey{}).(*visit)
	if v == nil {
		return Visitor{}
	}
	return v.Visitor
}

// Require refuses whoever has not the role.
func Require(r *http.Request, role Role) error {
	v := VisitorOf(r)
	switch {
	case v.Role >= role:
		return nil
	case v.Role == None:
		return refusal(http.StatusUnauthorized, "log in first, or send a token: Authorization: Bearer TOKEN")
	}
	return refusal(http.StatusForbidden, "%s may only %s; this needs the role %s in station.toml", v.Name, v.Role, role)
}

// identify finds out who has sent a request.
func (g *Gate) identify(p *policy, r *http.Request, c client) (*visit, *Refusal) {
	v := &visit{client: c}
	if text, ok := bearer(r); ok {
		if v.token = p.find(text); v.token == nil {
			return nil, refusal(http.StatusUnauthorized, "the token is not known; ionoscribe watch --token NAME makes one")
		}
		v.Name = v.token.Name
	} else if session := p.sessionOf(r, c.secure); session != "" {
		if v.Name, v.print, v.ends = g.sessions.find(r.Context(), session); v.Name != "" {
			v.session = session
		}
	}
	v.Role = g.rights(p, v)
	if v.Role == None {
		*v = visit{client: c} // an ended session is no session
	}
	return v, nil
}

// rights are what a visitor may do by the rules of p, which may be others than those when it came.
func (g *Gate) rights(p *policy, v *visit) Role {
	switch {
	case v.token != nil:
		for i := range p.Tokens {
			if p.Tokens[i].SHA256 == v.token.SHA256 {
				return p.Tokens[i].Role
			}
		}
	case v.session != "":
		if u, ok := p.users[v.Name]; ok && g.sessions.store.has(v.session) && printOf(u) == v.print {
			return u.Role
		}
	case len(p.Users) == 0 && p.Local() && v.client.address.IsLoopback() && !v.client.forwarded:
		return Change // whoever is at this computer
	}
	return None
}

// printOf changes when the password does.
func printOf(u User) string {
	sum := sha256.Sum256([]byte(u.Password))
	return hex.EncodeToString(sum[:8])
}

// enter counts a request in: its context ends with the rights that it came with.
func (g *Gate) enter(ctx context.Context, p *policy, v *visit) (context.Context, func()) {
	var cancel context.CancelFunc
	if v.session != "" {
		ctx, cancel = context.WithDeadline(ctx, v.ends)
	} else {
		ctx, cancel = context.WithCancel(ctx)
	}
	ctx = context.WithValue(ctx, visitKey{}, v)
	g.visitsLock.Lock()
	g.visits[v] = cancel
	g.visitsLock.Unlock()
	if now := g.policy.Load(); now != p || v.session != "" { // it may have lost its rights since they were looked up
		g.recheck(now, v, cancel)
	}
	return ctx, func() {
		g.visitsLock.Lock()
		delete(g.visits, v)
		g.visitsLock.Unlock()
		cancel()
	}
}

func (g *Gate) recheck(p *policy, v *visit, cancel context.CancelFunc) {
	if g.rights(p, v) < v.Role {
		cancel()
	}
}

// recheckAll ends the requests of those that have lost rights.
func (g *Gate) recheckAll() {
	p := g.policy.Load()
	g.visitsLock.Lock()
	defer g.visitsLock.Unlock()
	for v, cancel := range g.visits {
		g.recheck(p, v, cancel)
	}
}

package access

import (
	"net/http"
	"time"
)

// LogIn begins a session for a user whose password is right, and gives the browser its cookie. Otherwise its error is a [*Refusal],
// which is the same and takes as long whether the user or the password is wrong.
func (g *Gate) LogIn(w http.ResponseWriter, r *http.Request, name, password string) (Visitor, error) {
	v, _ := r.Context().Value(visitKey{}).(*visit)
	p := g.policy.Load()
	wait := g.byClient.take(household(v.client.address))
	if wait == 0 {
		wait = g.byUser.take(name)
	}
	if wait > 0 {
		g.log.Warn("a log in was tried too often", "user", name, "from", v.client.address)
		return Visitor{}, tooOften(wait)
	}
	u, known := p.users[name]
	if !known {
		u.Password = p.decoy
	}
	if len(password) > MostPassword {
		password = ""
	}
	right, err := g.checks.match(r.Context(), password, u.Password)
	if err != nil {
		return Visitor{}, err
	}
	if !right || !known {
		g.log.Warn("a log in was refused", "user", name, "from", v.client.address)
		return Visitor{}, refusal(http.StatusUnauthorized,
			"the name or the password is wrong; ionoscribe watch --password NAME makes a new one")
	}
	token, ends, err := g.sessions.begin(r.Context(), p.sessionOf(r, v.client.secure), name, printOf(u))
	if err != nil {
		return Visitor{}, err
	}
	g.recheckAll() // the session before has ended
	http.SetCookie(w, p.cookie(v.client.secure, token, ends))
	g.log.Info("a user logged in", "user", name, "role", u.Role, "from", v.client.address)
	return Visitor{Name: name, Role: u.Role}, nil
}

// LogOut ends a request's session, and whatever goes on in it. It gives who is there then: whoever is let in without a session.
func (g *Gate) LogOut(w http.ResponseWriter, r *http.Request) Visitor {
	v, _ := r.Context().Value(visitKey{}).(*visit)
	p := g.policy.Load()
	if v.session != "" {
		g.sessions.store.Delete(v.session)
		g.recheckAll()
	}
	http.SetCookie(w, p.cookie(v.client.secure, "", time.Unix(1, 0)))
	if v.session == "" {
		return v.Visitor
	}
	return Visitor{Role: g.rights(p, &visit{client: v.client})}
}

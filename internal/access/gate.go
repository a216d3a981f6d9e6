package access

import (
	"context"
	"log/slog"
	"net"
	"net/http"
	"sync"
	"sync/atomic"
)

// Gate lets requests in, or refuses them.
type Gate struct {
	refuse   func(http.ResponseWriter, *http.Request, *Refusal)
	log      *slog.Logger
	policy   atomic.Pointer[policy]
	sessions *sessions
	checks   checks
	byClient *limits // tries to log in
	byUser   *limits

	visitsLock sync.Mutex
	visits     map[*visit]context.CancelFunc // that are going on

	moved  chan struct{} // has one if another address is to be served
	listen func(network, address string) (net.Listener, error)
}

// policy are the rules in force; it is not changed.
type policy struct {
	Config
	port    string
	users   map[string]User
	decoy   string
	origins *http.CrossOriginProtection
}

// New makes a gate. Its refusals are written by refuse.
func New(c Config, refuse func(http.ResponseWriter, *http.Request, *Refusal), log *slog.Logger) *Gate {
	g := &Gate{
		refuse: refuse, log: log, sessions: newSessions(), checks: make(checks, mostChecks),
		byClient: newLimits(addressTries, addressEvery), byUser: newLimits(userTries, userEvery),
		visits: map[*visit]context.CancelFunc{}, moved: make(chan struct{}, 1), listen: net.Listen,
	}
	g.policy.Store(policyOf(c))
	return g
}

func policyOf(c Config) *policy {
	p := &policy{Config: c, users: map[string]User{}, decoy: decoy(""), origins: http.NewCrossOriginProtection()}
	_, p.port, _ = net.SplitHostPort(c.Listen)
	for i, u := range c.Users {
		p.users[u.Name] = u
		if i == 0 {
			p.decoy = decoy(u.Password)
		}
	}
	for _, o := range c.TrustedOrigins {
		p.origins.AddTrustedOrigin(o) // see CheckOrigin
	}
	return p
}

// Change puts other rules in force, also for requests that are going on.
func (g *Gate) Change(c Config) {
	before := g.policy.Swap(policyOf(c))
	g.recheckAll()
	if before.Listen != c.Listen || (before.Certificate == "") != (c.Certificate == "") {
		select {
		case g.moved <- struct{}{}:
		default: // it is known already
		}
	}
}

// Handler lets requests in to next, each with its visitor. Requests without a login pass too, since the page is needed to log in.
func (g *Gate) Handler(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		p := g.policy.Load()
		c, r := p.clientOf(r)
		secure(w.Header(), r)
		if !p.allowsHost(r) {
			g.refuse(w, r, refusal(http.StatusMisdirectedRequest, otherHost, hostname(r.Host)))
			return
		}
		v, no := g.identify(p, r, c)
		if no == nil {
			no = p.checkOrigin(r, v.session != "")
		}
		if no != nil {
			g.refuse(w, r, no)
			return
		}
		ctx, leave := g.enter(r.Context(), p, v)
		defer leave()
		next.ServeHTTP(w, r.WithContext(ctx))
	})
}

const otherHost = "%q is no name of this station; add it to hosts of [page] in station.toml"

// PasswordNeeded says that users log in.
func (g *Gate) PasswordNeeded() bool { return len(g.policy.Load().Users) > 0 }

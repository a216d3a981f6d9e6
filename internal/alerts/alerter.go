package alerts

import (
	"context"
	"log/slog"
	"time"
)

// Config is what an Alerter works with.
type Config struct {
	Station string
	Rules   []Rule         // that passed Check
	Ways    map[string]Way // by name
	Store   Store
	Now     func() time.Time
	Log     *slog.Logger // gets what fails; nil: nowhere
}

// Alerter makes alerts of events and delivers them.
type Alerter struct{ config Config }

// New makes one. It reads from the store what is held back.
func New(c Config) (*Alerter, error) { return &Alerter{c}, nil }

// Consider takes an event. It does not wait for anything and may be called from any goroutine.
func (a *Alerter) Consider(e Event) {}

// Change takes another configuration of rules and ways into use. What is in the outbox stays there.
func (a *Alerter) Change(rules []Rule, ways map[string]Way) {}

// Run keeps and delivers alerts until ctx is done.
func (a *Alerter) Run(ctx context.Context) error { <-ctx.Done(); return nil }

// Reply is what came of a test on one way out.
type Reply struct {
	Way   string
	Reply string
	Err   error
}

// Test sends a test alert on all ways of a rule at once and gives their replies in the order of the rule.
func Test(ctx context.Context, c Config, rule string) ([]Reply, error) { return nil, nil }

package alerts

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"time"
)

// Reply is what came of a test on one way out.
type Reply struct {
	Way   string
	Reply string
	Err   error
}

// Test sends a test alert on all ways out of a rule at once and gives their replies, in the order of the rule. It needs no store:
// the station may be running.
func Test(ctx context.Context, c Config, name string) ([]Reply, error) {
	i := slices.IndexFunc(c.Rules, func(r Rule) bool { return r.Name == name })
	if i < 0 {
		names := make([]string, len(c.Rules))
		for i, r := range c.Rules {
			names[i] = r.Name
		}
		return nil, fmt.Errorf("there is no rule with the name %q; there are %s", name, listed(names))
	}
	r, now := c.Rules[i], time.Now().UTC()
	if c.Now != nil {
		now = c.Now().UTC()
	}
	m := Message{Alert: Alert{
		Station: c.Station, Rule: r.Name, What: r.about(), UTC: now, Made: now, Summary: "Test of the rule " + r.Name, Test: true,
	}}
	replies := make([]Reply, len(r.Ways))
	var all sync.WaitGroup
	for i, name := range r.Ways {
		replies[i].Way = name
		all.Go(func() {
			way := c.Ways[name]
			if way == nil {
				way = noWay(name)
			}
			replies[i].Reply, replies[i].Err = way.Send(ctx, m)
		})
	}
	all.Wait()
	return replies, nil
}

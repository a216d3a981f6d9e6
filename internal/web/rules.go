package web

import (
	"context"
	"net/http"
	"os"
	"time"

	"ionoscribe/internal/access"
	"ionoscribe/internal/alerts"
	"ionoscribe/internal/modes"
	"ionoscribe/internal/station"
	"ionoscribe/internal/stationfile"
)

// ruleRoutes are the routes of the alert rules, which station.toml holds.
func (s *Server) ruleRoutes() []route {
	return []route{
		{"GET", "/api/rules", access.Look, s.rules},
		{"POST", "/api/rules/trial", access.Look, s.tryRule},
		{"PUT", "/api/rules/{name}", access.Change, s.putRule},
		{"DELETE", "/api/rules/{name}", access.Change, s.deleteRule},
		{"POST", "/api/rules/{name}/test", access.Change, s.testRule},
	}
}

// wayOut is one that a rule can name, and entry is one of the programme.
type (
	wayOut struct {
		Name string `json:"name"`
		Kind string `json:"kind"`
	}
	entry struct {
		ID    string `json:"id"`
		Title string `json:"title"`
	}
)

func (s *Server) rules(_ http.ResponseWriter, r *http.Request) (any, error) {
	if q := queryOf(r); q.err != nil {
		return nil, q.err
	}
	c, text := s.configNow()
	_, rules := stationfile.Tables(text)
	answer := struct {
		Rules     []alerts.Rule `json:"rules"`
		Ways      []wayOut      `json:"ways"`
		Countries []string      `json:"countries"`
		Receivers []string      `json:"receivers"`
		Modes     []string      `json:"modes"`
		Entries   []entry       `json:"entries"`
		Writable  bool          `json:"writable"`
	}{notNil(rules), []wayOut{}, alerts.Countries(), []string{}, []string{}, []entry{}, stationfile.Writable(s.configPath())}
	for _, w := range c.Ways {
		answer.Ways = append(answer.Ways, wayOut{w.Name, w.Kind()})
	}
	for _, r := range c.Receivers {
		answer.Receivers = append(answer.Receivers, r.Name)
	}
	for _, m := range modes.All {
		answer.Modes = append(answer.Modes, m.Name)
	}
	for _, e := range c.Programme {
		answer.Entries = append(answer.Entries, entry{e.ID, e.Title})
	}
	return answer, nil
}

// configNow is what station.toml says, or the configuration that is in force if it is wrong, and its text.
func (s *Server) configNow() (*stationfile.Config, []byte) {
	text, _ := os.ReadFile(s.configPath()) // what is wrong with it, the station's view tells
	if c, err := stationfile.Load(s.configPath(), s.Checks...); err == nil {
		return c, text
	}
	return s.Station.Config(), text
}

// A trial goes back for a week, and reads for trialTime at most and trialLines at most: a busy station prints as many in a week.
const (
	trialBack  = 7 * 24 * time.Hour
	trialTime  = 8 * time.Second
	trialLines = 200000
)

// tryRule tells what a rule would have caught.
func (s *Server) tryRule(_ http.ResponseWriter, r *http.Request) (any, error) {
	if q := queryOf(r); q.err != nil {
		return nil, q.err
	}
	var rule alerts.Rule
	if err := read(r, &rule); err != nil {
		return nil, err
	}
	c, _ := s.configNow()
	var ways []string
	for _, w := range c.Ways {
		ways = append(ways, w.Name)
	}
	to := s.clock().UTC()
	t := trialAnswer{Faults: faultsOf(rule.Check(ways)), Caught: []alerts.Alert{}, From: to.Add(-trialBack), To: to, Whole: true}
	for _, f := range t.Faults {
		if f.Key != "name" && f.Key != "ways" { // which say nothing of what is caught
			return t, nil
		}
	}
	select {
	case s.trials <- struct{}{}:
		defer func() { <-s.trials }()
	case <-r.Context().Done():
		return nil, r.Context().Err()
	}
	ctx, cancel := context.WithTimeout(r.Context(), trialTime)
	defer cancel()
	return t, s.try(ctx, rule, &t)
}

func (s *Server) putRule(_ http.ResponseWriter, r *http.Request) (any, error) {
	q := queryOf(r, "dry_run")
	dry := q.yes("dry_run")
	if q.err != nil {
		return nil, q.err
	}
	var rule alerts.Rule
	if err := read(r, &rule); err != nil {
		return nil, err
	}
	e, err := stationfile.EditRule(s.configPath(), r.PathValue("name"), &rule, s.Checks)
	return s.writeConfig(e, err, dry)
}

func (s *Server) deleteRule(_ http.ResponseWriter, r *http.Request) (any, error) {
	q := queryOf(r, "dry_run")
	dry := q.yes("dry_run")
	if q.err != nil {
		return nil, q.err
	}
	e, err := stationfile.EditRule(s.configPath(), r.PathValue("name"), nil, s.Checks)
	return s.writeConfig(e, err, dry)
}

// testTime is how long the ways out may take for a test: shorter than a browser or a proxy waits.
const testTime = 25 * time.Second

// testRule sends a test by the ways out of a rule.
func (s *Server) testRule(_ http.ResponseWriter, r *http.Request) (any, error) {
	if q := queryOf(r); q.err != nil {
		return nil, q.err
	}
	c, err := stationfile.Load(s.configPath(), s.Checks...)
	if err != nil {
		return nil, conflict("station.toml is wrong, and no test is sent: %v", err)
	}
	ways, err := station.Ways(s.Folder, c)
	if err != nil {
		return nil, conflict("%v", err)
	}
	ctx, cancel := context.WithTimeout(r.Context(), testTime)
	defer cancel()
	replies, err := alerts.Test(ctx, alerts.Config{Station: c.Name, Rules: c.Rules(), Ways: ways, Now: s.clock}, r.PathValue("name"))
	if err != nil {
		return nil, notFound("%v", err)
	}
	type reply struct {
		Way   string `json:"way"`
		Reply string `json:"reply"`
		Error string `json:"error,omitempty"`
	}
	answer := struct {
		Replies []reply `json:"replies"`
	}{[]reply{}}
	for _, x := range replies {
		told := reply{Way: x.Way, Reply: x.Reply}
		if x.Err != nil {
			told.Error = x.Err.Error()
		}
		answer.Replies = append(answer.Replies, told)
	}
	return answer, nil
}

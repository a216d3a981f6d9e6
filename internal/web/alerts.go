package web

import (
	"errors"
	"net/http"
	"time"

	"ionoscribe/internal/access"
	"ionoscribe/internal/alerts"
	"ionoscribe/internal/archive"
)

// alertRoutes are of what the operator was told.
func (s *Server) alertRoutes() []route {
	return []route{
		{"GET", "/api/alerts", access.Look, s.listAlerts},
		{"POST", "/api/alerts/acknowledge", access.Change, s.acknowledgeAll},
		{"POST", "/api/alerts/{alert}/acknowledge", access.Change, s.acknowledge},
	}
}

const (
	usualAlerts = 50
	mostAlerts  = 500
)

// toldAlert is an alert with what became of it.
type toldAlert struct {
	alerts.Alert
	Deliveries     []delivery `json:"deliveries"`
	Acknowledged   *time.Time `json:"acknowledged_utc,omitempty"`
	AcknowledgedBy string     `json:"acknowledged_by,omitempty"`
}

// delivery is an alert's on one way out.
type delivery struct {
	Way      string       `json:"way"`
	State    alerts.State `json:"state"`
	Attempts int          `json:"attempts"`
	Changed  time.Time    `json:"changed_utc"`
	Reply    string       `json:"reply"`
}

// heldBack is what a rule holds back.
type heldBack struct {
	Rule   string       `json:"rule"`
	Count  int          `json:"count"`
	Latest alerts.Alert `json:"latest"`
}

func toldOf(t archive.Told) toldAlert {
	a := toldAlert{Alert: t.Alert, Deliveries: []delivery{}, AcknowledgedBy: t.AcknowledgedBy}
	if !t.Acknowledged.IsZero() {
		a.Acknowledged = &t.Acknowledged
	}
	for _, d := range t.Deliveries {
		a.Deliveries = append(a.Deliveries, delivery{d.Way, d.State, d.Attempts, d.Changed, d.Reply})
	}
	return a
}

func (s *Server) listAlerts(_ http.ResponseWriter, r *http.Request) (any, error) {
	q := queryOf(r, "before", "limit")
	before, limit := q.integer("before"), q.integer("limit")
	if limit > mostAlerts {
		q.wrong(badRequest("limit = %d is more than %d", limit, mostAlerts))
	}
	if limit == 0 {
		limit = usualAlerts
	}
	if q.err != nil {
		return nil, q.err
	}
	ctx, cancel := inTime(r)
	defer cancel()
	told, errTold := s.Archive.Alerts(ctx, before, int(limit))
	held, errHeld := s.Archive.HeldBack(ctx)
	open, errOpen := s.Archive.Unacknowledged(ctx)
	if err := errors.Join(errTold, errHeld, errOpen); err != nil {
		return nil, fromArchive(err)
	}
	answer := struct {
		Alerts         []toldAlert `json:"alerts"`
		Held           []heldBack  `json:"held"`
		Unacknowledged int         `json:"unacknowledged"`
		Next           int64       `json:"next,omitempty"`
	}{Alerts: []toldAlert{}, Held: []heldBack{}, Unacknowledged: open}
	for _, t := range told {
		answer.Alerts = append(answer.Alerts, toldOf(t))
	}
	for _, h := range held {
		if h.Count > 0 {
			answer.Held = append(answer.Held, heldBack{h.Rule, h.Count, h.Latest})
		}
	}
	if n := len(told); n == int(limit) {
		answer.Next = told[n-1].ID
	}
	return answer, nil
}

func (s *Server) acknowledge(_ http.ResponseWriter, r *http.Request) (any, error) {
	id, err := numberIn(r, "alert")
	if err != nil {
		return nil, err
	}
	return s.acknowledgeTo(r, id, false)
}

func (s *Server) acknowledgeAll(_ http.ResponseWriter, r *http.Request) (any, error) {
	var body struct {
		UpTo int64 `json:"up_to"`
	}
	if err := read(r, &body); err != nil {
		return nil, err
	}
	return s.acknowledgeTo(r, body.UpTo, true)
}

func (s *Server) acknowledgeTo(r *http.Request, id int64, before bool) (any, error) {
	if q := queryOf(r); q.err != nil {
		return nil, q.err
	}
	ctx, cancel := inTime(r)
	defer cancel()
	n, err := s.Archive.Acknowledge(ctx, id, before, access.VisitorOf(r).Name)
	if errors.Is(err, archive.ErrNone) {
		return nil, notFound("there is no alert %d; it may have been deleted", id)
	}
	open, errOpen := s.Archive.Unacknowledged(ctx)
	if err := errors.Join(err, errOpen); err != nil {
		return nil, fromArchive(err)
	}
	return struct {
		Acknowledged   int64 `json:"acknowledged"`
		Unacknowledged int   `json:"unacknowledged"`
	}{n, open}, nil
}

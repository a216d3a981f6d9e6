package web

import (
	"context"
	"errors"
	"net/http"
	"os"
	"slices"
	"time"

	"ionoscribe/internal/access"
	"ionoscribe/internal/live"
	"ionoscribe/internal/stationfile"
)

func (s *Server) stationRoutes() []route {
	return []route{{"GET", "/api/station", access.Look, s.stationView}}
}

const (
	incidentsOver = 24 * time.Hour
	deletionsOver = 7 * 24 * time.Hour
	mostTold      = 200 // incidents and deletions; a station whose samples are lost all day has thousands
)

// cautions are for whoever runs a station.
var cautions = []string{
	"Received charts and texts are not for navigation: check the official sources.",
	"Whether and what you may receive, keep and pass on differs by country.",
	"To transmit test signals you need a licence: keep them on a cable.",
}

func (s *Server) stationView(w http.ResponseWriter, r *http.Request) (any, error) {
	if q := queryOf(r); q.err != nil {
		return nil, q.err
	}
	now, health := s.clock(), s.Station.Health()
	f := stationForm{Began: stamp(health.Began), UTC: stamp(now), Version: s.Version, Cautions: cautions, Disk: s.disk()}
	f.Name, f.Place = s.Station.Name()
	f.Health = healthForm{health.Well, health.Trouble, health.Charts, health.Lost.Charts}
	a := s.Archive.Stats()
	f.Archive = archiveForm{Bytes: a.Bytes, Pending: a.PendingRows, Rows: a.Rows, LostRows: a.LostRows}
	if !a.Committed.IsZero() {
		f.Archive.Committed = stamp(a.Committed)
	}
	text, _ := os.ReadFile(s.configPath()) // Load reports what is wrong with it
	f.Config = s.configForm(text, access.VisitorOf(r).Role)
	f.Receivers = receiverForms(s.Live.Now().Receivers, text)
	if err := s.addIncidents(r.Context(), &f, now); err != nil {
		return nil, err
	}
	return f, s.addDeletions(r.Context(), &f, now)
}

func (s *Server) configForm(text []byte, role access.Role) configForm {
	c := configForm{Problems: []configProblem{}}
	_, err := stationfile.Load(s.configPath(), s.Checks...)
	if problems, ok := errors.AsType[stationfile.Problems](err); ok {
		c.Problems = s.problemsOf(problems)
	} else if err != nil {
		c.Problems = append(c.Problems, configProblem{Message: "station.toml cannot be read", Mend: "look whether it is there, and check its permissions"})
	}
	if role == access.Change {
		whole := string(text)
		c.Path, c.Text, c.SHA256, c.Writable = s.configPath(), &whole, stationfile.Sum(text), stationfile.Writable(s.configPath())
	}
	return c
}

// receiverForms joins receivers that run with those of the text of a configuration, in the order of the text.
func receiverForms(running []live.Receiver, text []byte) []receiverForm {
	all := []receiverForm{}
	tables, _ := stationfile.Tables(text)
	for _, t := range tables {
		keys := keysOf(t)
		all = append(all, receiverForm{Name: t.Name, Keys: &keys, Tunes: t.Tune != nil, IsFile: true})
	}
	for _, r := range running {
		i := slices.IndexFunc(all, func(f receiverForm) bool { return f.Name == r.Name })
		if i < 0 {
			i = len(all)
			all = append(all, receiverForm{Name: r.Name})
		}
		all[i].Now = &r
	}
	return all
}

func (s *Server) disk() *diskForm {
	d, err := s.Station.Disk()
	if err != nil {
		return nil
	}
	f := &diskForm{Free: d.Free, Total: d.Total, Measured: d.Measured.Seconds()}
	if d.Measured > 0 {
		f.Filling = &d.Filling
	}
	return f
}

func (s *Server) addIncidents(ctx context.Context, f *stationForm, now time.Time) error {
	all, err := s.Archive.Incidents(ctx, now.Add(-incidentsOver), now.Add(time.Minute))
	f.Incidents, f.IncidentCount = []incidentForm{}, len(all)
	for _, i := range slices.Backward(all) {
		if len(f.Incidents) == mostTold {
			break
		}
		f.Incidents = append(f.Incidents, incidentForm{stamp(i.At), i.What, i.Receiver, i.Transmission, i.Seconds, i.Text})
	}
	return err
}

func (s *Server) addDeletions(ctx context.Context, f *stationForm, now time.Time) error {
	all, err := s.Archive.Deletions(ctx, now.Add(-deletionsOver), now.Add(time.Minute))
	f.Deletions, f.Deleted = []deletionForm{}, []deletedForm{}
	for _, d := range slices.Backward(all) {
		if len(f.Deletions) < mostTold {
			f.Deletions = append(f.Deletions, deletionForm{stamp(d.At), d.Kind, d.Transmission, d.Title, stamp(d.Begun), d.Bytes, d.Reason})
		}
		i := slices.IndexFunc(f.Deleted, func(k deletedForm) bool { return k.Kind == d.Kind })
		if i < 0 {
			i = len(f.Deleted)
			f.Deleted = append(f.Deleted, deletedForm{Kind: d.Kind})
		}
		f.Deleted[i].Count++
		f.Deleted[i].Bytes += d.Bytes
	}
	return err
}

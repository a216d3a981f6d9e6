package web

import (
	"net/http"
	"os"
	"slices"

	"ionoscribe/internal/access"
	"ionoscribe/internal/stationfile"
)

// receiverRoutes change station.toml, which the station takes up by itself.
func (s *Server) receiverRoutes() []route {
	return []route{
		{"PUT", "/api/station/receivers/{name}", access.Change, s.putReceiver},
		{"DELETE", "/api/station/receivers/{name}", access.Change, s.removeReceiver},
		{"PUT", "/api/station/config", access.Change, s.putConfig},
	}
}

// receiverKeys is the table of a receiver in station.toml without its name, and without the command that tunes it.
type receiverKeys struct {
	Source   string   `json:"source"`
	Dial     string   `json:"dial,omitempty"`
	Sideband string   `json:"sideband,omitempty"`
	IQ       string   `json:"iq,omitempty"`
	Channel  string   `json:"channel,omitempty"`
	Place    string   `json:"place,omitempty"`
	Copy     []string `json:"copy,omitempty"`
	Hours    []string `json:"hours,omitempty"`
	Sound    string   `json:"sound,omitempty"`
}

func keysOf(t stationfile.ReceiverTable) receiverKeys {
	return receiverKeys{t.Source, t.Dial, t.Sideband, t.IQ, t.Channel, t.Place, t.Copy, t.Hours, t.Sound}
}

func (s *Server) putReceiver(w http.ResponseWriter, r *http.Request) (any, error) {
	q := queryOf(r, "dry_run")
	dry := q.yes("dry_run")
	if q.err != nil {
		return nil, q.err
	}
	var in receiverKeys
	if err := read(r, &in); err != nil {
		return nil, err
	}
	name := r.PathValue("name")
	table := &stationfile.ReceiverTable{Name: name, Source: in.Source, Dial: in.Dial, Sideband: in.Sideband, IQ: in.IQ, Channel: in.Channel,
		Place: in.Place, Copy: in.Copy, Hours: in.Hours, Sound: in.Sound}
	if is := s.receiverTable(name); is != nil {
		table.Tune = is.Tune
	}
	e, err := stationfile.EditReceiver(s.configPath(), name, table, s.Checks)
	return s.writeConfig(e, err, dry)
}

func (s *Server) removeReceiver(w http.ResponseWriter, r *http.Request) (any, error) {
	q := queryOf(r, "dry_run")
	dry := q.yes("dry_run")
	if q.err != nil {
		return nil, q.err
	}
	e, err := stationfile.EditReceiver(s.configPath(), r.PathValue("name"), nil, s.Checks)
	return s.writeConfig(e, err, dry)
}

// receiverTable is what station.toml says of a receiver; nil: nothing.
func (s *Server) receiverTable(name string) *stationfile.ReceiverTable {
	text, err := os.ReadFile(s.configPath())
	if err != nil {
		return nil
	}
	all, _ := stationfile.Tables(text)
	if i := slices.IndexFunc(all, func(t stationfile.ReceiverTable) bool { return t.Name == name }); i >= 0 {
		return &all[i]
	}
	return nil
}

func (s *Server) putConfig(w http.ResponseWriter, r *http.Request) (any, error) {
	q := queryOf(r, "dry_run")
	dry := q.yes("dry_run")
	if q.err != nil {
		return nil, q.err
	}
	var in struct {
		Text string `json:"text"`
		Was  string `json:"was"` // SHA-256 of the text that it replaces
	}
	if err := read(r, &in); err != nil {
		return nil, err
	}
	e, err := stationfile.EditText(s.configPath(), in.Was, []byte(in.Text), s.Checks)
	return s.writeConfig(e, err, dry)
}

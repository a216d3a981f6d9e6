package web

import (
	"ionoscribe/internal/archive"
	"ionoscribe/internal/live"
)

// stationForm is the station itself.
type stationForm struct {
	Name    string      `json:"name"`
	Place   string      `json:"place,omitempty"`
	Began   string      `json:"began_utc"`
	UTC     string      `json:"utc"`
	Version string      `json:"version"`
	Config  configForm  `json:"config"`
	Health  healthForm  `json:"health"`
	Disk    *diskForm   `json:"disk,omitempty"` // if it is known
	Archive archiveForm `json:"archive"`

	Receivers     []receiverForm `json:"receivers"`
	Incidents     []incidentForm `json:"incidents"` // of the last day, the latest first
	IncidentCount int            `json:"incident_count"`
	Deletions     []deletionForm `json:"deletions"` // of the last week, the latest first
	Deleted       []deletedForm  `json:"deleted"`
	Cautions      []string       `json:"cautions"`
}

type configForm struct {
	Path     string          `json:"path,omitempty"`
	Text     *string         `json:"text,omitempty"` // for those who may change it
	SHA256   string          `json:"sha256,omitempty"`
	Problems []configProblem `json:"problems"`
	Writable bool            `json:"writable"`
}

// receiverForm is a receiver that is run, one that station.toml has, or both.
type receiverForm struct {
	Name   string         `json:"name"`
	Now    *live.Receiver `json:"now,omitempty"`
	Keys   *receiverKeys  `json:"keys,omitempty"`
	Tunes  bool           `json:"tunes"` // by a command
	IsFile bool           `json:"in_file"`
}

type healthForm struct {
	Well    bool   `json:"well"`
	Trouble string `json:"trouble,omitempty"`
	Charts  int    `json:"charts_waiting"`
	Lost    int    `json:"charts_lost"`
}

type diskForm struct {
	Free     int64    `json:"free_bytes"`
	Total    int64    `json:"total_bytes"`
	Filling  *float64 `json:"filling_bytes_a_day,omitempty"` // below 0: it empties
	Measured float64  `json:"measured_seconds"`
}

type archiveForm struct {
	Bytes     int64  `json:"bytes"`
	Pending   int    `json:"pending_rows"`
	Rows      int64  `json:"rows"` // since the start
	LostRows  int64  `json:"lost_rows"`
	Committed string `json:"committed_utc,omitempty"`
}

type incidentForm struct {
	UTC          string       `json:"utc"`
	What         archive.What `json:"what"`
	Receiver     string       `json:"receiver,omitempty"`
	Transmission archive.ID   `json:"transmission,omitempty"`
	Seconds      float64      `json:"seconds"`
	Text         string       `json:"text"`
}

type deletionForm struct {
	UTC          string       `json:"utc"`
	Kind         archive.Kind `json:"kind"`
	Transmission archive.ID   `json:"transmission,omitempty"`
	Title        string       `json:"title,omitempty"`
	Begun        string       `json:"begin_utc"`
	Bytes        int64        `json:"bytes"`
	Reason       string       `json:"reason"`
}

// deletedForm counts deletions of a kind.
type deletedForm struct {
	Kind  archive.Kind `json:"kind"`
	Count int          `json:"count"`
	Bytes int64        `json:"bytes"`
}

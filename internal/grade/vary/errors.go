package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
)

// graded is a line of what grade prints: a message, or a scene of a survey.
type graded struct {
	Sent        float64 `json:"sent"`
	Substituted float64 `json:"substituted"`
	Inserted    float64 `json:"inserted"`
	Deleted     float64 `json:"deleted"`
	Signals     []struct {
		Kind  string `json:"kind"`
		Found *struct {
			Kind string `json:"kind"`
		} `json:"found"`
	} `json:"signals"`
	False []json.RawMessage `json:"false"`
}

// errorsOf is what grade's JSON says, in percent of what was sent; findings of nothing that was sent count too.
func errorsOf(lines []byte) (percent float64, err error) {
	sent, wrong := 0.0, 0.0
	d := json.NewDecoder(bytes.NewReader(lines))
	for {
		var g graded
		if err := d.Decode(&g); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return 0, err
		}
		sent += g.Sent + float64(len(g.Signals))
		wrong += min(g.Substituted+g.Inserted+g.Deleted, g.Sent) + float64(len(g.False))
		for _, s := range g.Signals {
			if s.Found == nil || s.Found.Kind != s.Kind {
				wrong++
			}
		}
	}
	if sent == 0 {
		return 0, errors.New("nothing was graded")
	}
	return 100 * wrong / sent, nil
}

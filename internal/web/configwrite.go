package web

import (
	"errors"
	"net/http"
	"path/filepath"

	"ionoscribe/internal/fault"
	"ionoscribe/internal/stationfile"
)

// configProblem is a mistake in a configuration, where it stands.
type configProblem struct {
	Line    int    `json:"line"`
	Column  int    `json:"column"` // in bytes; 0: not known
	Message string `json:"message"`
	Mend    string `json:"mend"`
}

// written is what became of a change of station.toml.
type written struct {
	Written bool   `json:"written"`
	Text    string `json:"text"`          // the table as it is to stand there
	Why     string `json:"why,omitempty"` // it could not be written
}

// configPath is the path of station.toml.
func (s *Server) configPath() string { return filepath.Join(s.Folder, stationfile.Name) }

// writeConfig writes an edit of station.toml, with the error that making it gave, unless it is only to be shown.
func (s *Server) writeConfig(e *stationfile.Edited, err error, dry bool) (any, error) {
	if err != nil {
		return nil, s.editProblem(err)
	}
	if err := permitted(s.Station.Config(), e.Config); err != nil {
		return nil, err
	}
	w := written{Text: e.Table}
	if dry {
		return w, nil
	}
	err = e.Write()
	if _, cannot := errors.AsType[*fault.Error](err); cannot {
		w.Why = err.Error()
		return w, nil
	}
	if err != nil {
		return nil, s.editProblem(err)
	}
	w.Written = true
	return w, nil
}

// editProblem is the answer to an edit that failed.
func (s *Server) editProblem(err error) error {
	problems, wrong := errors.AsType[stationfile.Problems](err)
	_, cannot := errors.AsType[*fault.Error](err)
	switch {
	case wrong:
		p := problemOf(http.StatusUnprocessableEntity, "nothing was written, since station.toml would be wrong: %s", problems[0].Message)
		p.Problems = s.problemsOf(problems)
		return p
	case errors.Is(err, stationfile.ErrNoTable):
		return notFound("%v", err)
	case cannot:
		return err
	}
	return conflict("%v", err)
}

// problemsOf are mistakes in station.toml; those in files that it names have the file's name before them.
func (s *Server) problemsOf(all stationfile.Problems) []configProblem {
	list := []configProblem{}
	for _, p := range all {
		c := configProblem{p.Line, p.Column, fault.OneLine(p.Message), fault.OneLine(p.Mend)}
		if name := filepath.Base(p.File); name != stationfile.Name {
			c.Line, c.Column = 0, 0
			c.Message = stationfile.Problem{File: name, Line: p.Line, Column: p.Column, Message: p.Message}.Error()
		}
		list = append(list, c)
	}
	return list
}

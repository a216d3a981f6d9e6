package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"os"
	"path"
	"strings"
	"time"

	"ionoscribe/internal/access"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/chartfile"
)

func (s *Server) redrawRoutes() []route {
	return []route{
		{"POST", "/api/charts/{chart}/versions", access.Change, s.redraw},
		{"DELETE", "/api/charts/{chart}", access.Change, s.removeVersion},
	}
}

// drawingTime bounds a drawing that restores: a chart with an echo takes a minute.
const drawingTime = 5 * time.Minute

// easel is where charts are drawn again with restoration, one at a time. What was drawn last stays on it, since who has looked at it is
// about to save it.
type easel struct {
	taken chan struct{}
	name  string // of the video
	what  string // changes, as JSON
	chart *chartfile.Chart
}

func newEasel() *easel { return &easel{taken: make(chan struct{}, 1)} }

// restored draws a chart again, with restoration if the changes do not forbid it. It is given up when nobody waits for it any more.
func (s *Server) restored(ctx context.Context, k *video, ch chartfile.Changes) (*chartfile.Chart, error) {
	what, err := json.Marshal(ch)
	if err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(ctx, drawingTime)
	defer cancel()
	e := s.easel
	select {
	case e.taken <- struct{}{}:
		defer func() { <-e.taken }()
	case <-ctx.Done():
		return nil, tooLong(ctx.Err())
	}
	if e.name == k.name && e.what == string(what) {
		return e.chart, nil
	}
	c := *k.chart
	if err := c.RedrawContext(ctx, ch); err != nil {
		return nil, tooLong(err)
	}
	e.name, e.what, e.chart = k.name, string(what), &c
	return &c, nil
}

// tooLong is the error of a drawing that was given up.
func tooLong(err error) error {
	if errors.Is(err, context.DeadlineExceeded) {
		return problemOf(http.StatusServiceUnavailable, "the drawing took more than %.0f min; try plain, without restoration", drawingTime.Minutes())
	}
	return err
}

// redraw draws a chart again and keeps it as a version.
func (s *Server) redraw(w http.ResponseWriter, r *http.Request) (any, error) {
	var in struct {
		Changes chartfile.Changes `json:"changes"`
	}
	if err := errors.Join(queryOf(r).err, read(r, &in)); err != nil {
		return nil, err
	}
	c, err := s.chartAsked(r)
	if err != nil {
		return nil, err
	}
	k, err := s.videoOf(r, c)
	if err != nil {
		return nil, err
	}
	if _, _, err := k.changed(in.Changes); err != nil {
		return nil, err
	}
	drawn, err := s.restored(r.Context(), k, in.Changes)
	if err != nil {
		return nil, err
	}
	// From here on it is kept, even if the client does not wait.
	id, err := s.keepVersion(context.WithoutCancel(r.Context()), c, in.Changes, drawn)
	if err != nil {
		return nil, err
	}
	listed, err := s.Archive.ListedChart(context.WithoutCancel(r.Context()), id)
	if err != nil {
		return nil, fromArchive(err)
	}
	b, err := json.Marshal(chartOf(listed))
	if err != nil {
		return nil, err
	}
	h := w.Header()
	h.Set("Location", fmt.Sprintf("/api/charts/%d", id))
	h.Set("Content-Type", "application/json")
	h.Set("Cache-Control", "no-store")
	w.WriteHeader(http.StatusCreated)
	w.Write(b) // a client that is gone does not matter
	return nil, nil
}

// keepVersion saves the picture of a version, under the name of the first one with a number, and tells the archive of it.
func (s *Server) keepVersion(ctx context.Context, from archive.Chart, ch chartfile.Changes, drawn *chartfile.Chart) (int64, error) {
	saved := &chartfile.Chart{Info: drawn.Info, Image: drawn.Image}
	if versions, err := s.Archive.Versions(ctx, from.ID); err == nil && len(versions) > 0 {
		saved.File = strings.TrimSuffix(path.Base(versions[0].Picture), chartfile.PictureSuffix)
	}
	picture, _, err := chartfile.Save(s.Archive.Folder(drawn.Start), saved, nil)
	if err != nil {
		return 0, err
	}
	id, err := s.Archive.Redrawn(ctx, from.ID, ch, archive.Chart{Picture: picture, Info: drawn.Info, Image: drawn.Image})
	if err != nil {
		os.Remove(picture)
		return 0, fromArchive(err)
	}
	return id, nil
}

func (s *Server) removeVersion(w http.ResponseWriter, r *http.Request) (any, error) {
	id, err := numberIn(r, "chart")
	if err = errors.Join(err, queryOf(r).err); err != nil {
		return nil, err
	}
	if err := s.Archive.RemoveVersion(r.Context(), id); err != nil {
		return nil, fromArchive(err)
	}
	w.WriteHeader(http.StatusNoContent)
	return nil, nil
}

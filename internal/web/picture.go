package web

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io/fs"
	"net/http"
	"os"
	"path"
	"path/filepath"
	"time"

	"ionoscribe/internal/access"
	"ionoscribe/internal/archive"
)

func (s *Server) pictureRoutes() []route {
	return []route{
		{"GET", "/api/charts/{chart}/thumbnail", access.Look, s.thumbnail},
		{"GET", "/api/charts/{chart}/picture", access.Look, s.picture},
	}
}

// chartAsked is the chart that an address names.
func (s *Server) chartAsked(r *http.Request) (archive.Chart, error) {
	id, err := numberIn(r, "chart")
	if err != nil {
		return archive.Chart{}, err
	}
	c, err := s.Archive.ChartNumbered(r.Context(), id)
	return c, fromArchive(err)
}

func (s *Server) thumbnail(w http.ResponseWriter, r *http.Request) (any, error) {
	if err := queryOf(r).err; err != nil {
		return nil, err
	}
	c, err := s.chartAsked(r)
	if err != nil {
		return nil, err
	}
	if len(c.Thumbnail) == 0 {
		return nil, notFound("chart %d has no thumbnail, since its picture could not be read when it was filed", c.ID)
	}
	unchanging(w)
	w.Header().Set("Content-Type", "image/png")
	w.Write(c.Thumbnail) // a client that is gone does not matter
	return nil, nil
}

func (s *Server) picture(w http.ResponseWriter, r *http.Request) (any, error) {
	q := queryOf(r, "download")
	download := q.yes("download")
	if q.err != nil {
		return nil, q.err
	}
	c, err := s.chartAsked(r)
	if err != nil {
		return nil, err
	}
	f, err := s.openFile(c.Picture)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	unchanging(w)
	w.Header().Set("Content-Type", "image/png")
	if download {
		w.Header().Set("Content-Disposition", fmt.Sprintf(`attachment; filename="%s"`, path.Base(c.Picture)))
	}
	http.ServeContent(w, r, "", time.Time{}, f)
	return nil, nil
}

// openFile opens a file of a chart, whose path is from the archive and leads nowhere out of the station's folder.
func (s *Server) openFile(name string) (*os.File, error) {
	f, err := os.OpenInRoot(s.Folder, filepath.FromSlash(name))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, notFound("the file %s is not there; if its disk is, copy it from a backup", path.Base(name))
	case err != nil:
		return nil, fmt.Errorf("the file %s cannot be opened: %w", path.Base(name), err)
	}
	return f, nil
}

// unchanging says of a picture that it is always the same at its address: no number is ever given again.
func unchanging(w http.ResponseWriter) {
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
}

// writePNG sends a picture that was drawn just now.
func writePNG(w http.ResponseWriter, m image.Image) error {
	var b bytes.Buffer
	e := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := e.Encode(&b, m); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "image/png")
	w.Write(b.Bytes()) // a client that is gone does not matter
	return nil
}

package web

import (
	"context"
	"fmt"
	"net/http"
	"time"

	"ionoscribe/internal/archive"
)

// exportKinds are the forms in which transmissions are downloaded, with their media types and the suffixes of their files.
var exportKinds = map[string]struct {
	form         archive.Form
	kind, suffix string
}{
	"text": {archive.AsText, "text/plain; charset=utf-8", "txt"},
	"csv":  {archive.AsCSV, "text/csv; charset=utf-8", "csv"},
	"json": {archive.AsJSON, "application/x-ndjson", "jsonl"},
	"adif": {archive.AsADIF, "text/plain; charset=utf-8", "adi"},
}

func (s *Server) exportFound(w http.ResponseWriter, r *http.Request) (any, error) {
	q := queryOf(r, append([]string{"form"}, transmissionFilters...)...)
	return nil, s.export(w, r, q, "transmissions", transmissionQuery(q))
}

func (s *Server) exportOne(w http.ResponseWriter, r *http.Request) (any, error) {
	id, err := numberIn(r, "transmission")
	if err != nil {
		return nil, err
	}
	q := queryOf(r, "form")
	if _, err := s.Archive.Part(r.Context(), archive.ID(id), 0, 0); err != nil {
		return nil, fromArchive(err)
	}
	return nil, s.export(w, r, q, fmt.Sprintf("transmission-%d", id), archive.Query{Only: archive.ID(id)})
}

// exportTime bounds an export: as long as it lasts the log of the database cannot be cut.
const exportTime = 10 * time.Minute

// export sends a file. Only one is sent at a time: each holds a connection to the database as long as its client reads.
func (s *Server) export(w http.ResponseWriter, r *http.Request, q *query, name string, a archive.Query) error {
	form, ok := exportKinds[q.text("form")]
	if !ok {
		q.wrong(badRequest("form = %q is none of text, csv, json and adif", q.text("form")))
	}
	if q.err != nil {
		return q.err
	}
	ctx, cancel := context.WithTimeout(r.Context(), exportTime)
	defer cancel()
	select {
	case s.exports <- struct{}{}:
		defer func() { <-s.exports }()
	case <-ctx.Done():
		return fromArchive(ctx.Err())
	}
	h := w.Header()
	h.Set("Content-Type", form.kind)
	h.Set("Cache-Control", "no-store")
	h.Set("Content-Disposition", fmt.Sprintf(`attachment; filename="%s.%s"`, name, form.suffix))
	out := &begun{ResponseWriter: w}
	if _, err := s.Archive.Export(ctx, out, form.form, a); err != nil {
		if out.bytes > 0 {
			panic(http.ErrAbortHandler) // the client shall see that it is not all
		}
		h.Del("Content-Disposition")
		return fromArchive(err)
	}
	return nil
}

// begun counts what has been written of an answer.
type begun struct {
	http.ResponseWriter
	bytes int64
}

func (b *begun) Write(p []byte) (int, error) {
	n, err := b.ResponseWriter.Write(p)
	b.bytes += int64(n)
	return n, err
}

package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"html/template"
	"io"
	"os"
	"path/filepath"

	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/fault"
)

// IndexName is that of the index in a folder of exported charts.
const IndexName = "index.html"

var indexPage = template.Must(template.New("").Parse(`<!DOCTYPE html>
<html lang="en">
<meta charset="utf-8">
<title>Charts</title>
<style>
body { font-family: sans-serif; margin: 1em }
table { border-collapse: collapse }
td, th { padding: .3em .8em; text-align: left; vertical-align: top; border-bottom: 1px solid #ccc }
img { max-width: 240px }
</style>
<h1>Charts</h1>
<p>Received by radio, not for navigation: check official sources.</p>
<table>
<tr><th>Picture<th>Begin, UTC<th>Title<th>Frequency<th>Receiver<th>Quality</tr>
{{range .}}<tr><td><a href="{{.File}}"><img loading="lazy" src="{{.File}}" alt="{{.Title}}"></a><td>{{.Begin}}<td>{{.Title}}<td>{{.Frequency}}<td>{{.Receiver}}<td>{{printf "%.2f" .Quality}}</tr>
{{end}}</table>
`))

type indexRow struct {
	File, Begin, Title, Frequency, Receiver string
	Quality                                 float64
}

// ExportCharts copies the charts that a query finds into a folder, which is made if it is not there, with an index
// (index.html). It returns how many; charts whose picture is gone are left out, which is an error in the end.
func (r *Reader) ExportCharts(ctx context.Context, folder string, q Query) (n int, err error) {
	full, err := filepath.Abs(folder)
	if err != nil {
		return 0, failure("write", folder, err)
	}
	if name := r.within(full); full == r.dir || dayFolder.MatchString(name) {
		return 0, &fault.Error{Op: "write", Path: folder, Err: errors.New("it is a folder of the station itself"), Mend: "choose another folder"}
	}
	var rows []indexRow
	var gone error
	taken := map[string]bool{}
	q.Charts = true
	_, err = r.each(ctx, q, func(c *sql.Conn, id ID) error {
		record, err := record(ctx, c, id)
		if err != nil {
			return err
		}
		for _, chart := range record.Charts {
			name := filepath.Base(r.file(chart.Picture))
			for i := 2; taken[name]; i++ {
				name = fmt.Sprintf("%d_%s", i, filepath.Base(r.file(chart.Picture)))
			}
			if err := os.MkdirAll(full, 0o777); err != nil {
				return failure("make", folder, err)
			}
			b, err := os.ReadFile(r.file(chart.Picture))
			if err != nil {
				gone = errors.Join(gone, failure("read", r.file(chart.Picture), err))
				continue
			}
			err = chartfile.WriteFile(filepath.Join(full, name), func(w io.Writer) error {
				_, err := w.Write(b)
				return err
			})
			if err != nil {
				return err
			}
			taken[name] = true
			title := chart.Title
			if title == "" {
				title = record.Title
			}
			rows = append(rows, indexRow{name, stamp(chart.Info.Start), title, record.Frequency(), record.Receiver, chart.Info.Quality.Mean()})
		}
		return nil
	})
	if err != nil || len(rows) == 0 {
		return len(rows), errors.Join(err, gone)
	}
	err = chartfile.WriteFile(filepath.Join(full, IndexName), func(w io.Writer) error { return indexPage.Execute(w, rows) })
	return len(rows), errors.Join(err, gone)
}

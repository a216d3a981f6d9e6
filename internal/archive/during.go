package archive

import (
	"context"
	"database/sql"
	"slices"
	"time"
)

// on are transmissions that were on the air between ?1 and ?2, in milliseconds: those that began in that time or up to a day before
// it, and the few that are longer than that.
func on(columns string) string {
	return "SELECT " + columns + " FROM transmission INDEXED BY transmission_begun WHERE begun >= ?1 - 86400000 AND begun < ?2 AND ended >= ?1" +
		" UNION ALL SELECT " + columns + " FROM transmission INDEXED BY transmission_long WHERE ended - begun > 86400000 AND begun < ?1 - 86400000 AND ended >= ?1"
}

// During gives the transmissions that were on the air in a time, in the order in which they began, without lines. Of more than so many it
// leaves out the shortest that were not copied.
func (r *Reader) During(ctx context.Context, from, to time.Time, most int) ([]Hit, error) {
	all, err := list(ctx, r.db, func(s *sql.Rows) (h Hit, err error) {
		h.Transmission, err = scanTransmission(chartLast{s, &h.Chart})
		return h, err
	}, "SELECT "+transmissionColumns+", coalesce((SELECT id FROM chart WHERE transmission = t.id AND latest ORDER BY begun DESC, id DESC LIMIT 1), 0) FROM ("+
		on(transmissionColumns)+") t ORDER BY copied DESC, ended - begun DESC LIMIT ?3", millis(from), millis(to), most)
	slices.SortStableFunc(all, func(a, b Hit) int { return a.Begun.Compare(b.Begun) })
	return all, r.failed(err)
}

// chartLast scans a row whose last column is the number of a chart.
type chartLast struct {
	*sql.Rows
	chart *int64
}

func (c chartLast) Scan(to ...any) error { return c.Rows.Scan(append(to, c.chart)...) }

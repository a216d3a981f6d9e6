package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"time"
)

// ChartQuery says which charts are listed, each in its latest version. Zero fields do not matter.
type ChartQuery struct {
	Title        *string   // all of it; "": charts without a title
	Receiver     string    //
	From, To     time.Time // when it began
	LeastQuality float64   // 0 to 1
	LeastRating  int
	Favourites   bool     // these alone
	Before       ChartKey // those behind that in the list: the next page
	Limit        int      // 0: [UsualLimit]
}

// ChartKey is the place of a chart in lists, the newest being first. The zero value is before all.
type ChartKey struct {
	Begun time.Time
	Chart int64
}

// Listed is what lists tell of a chart.
type Listed struct {
	ChartKey
	Transmission ID
	Title        string // of the chart, or of its transmission
	Ended        time.Time
	Receiver     string
	OnAir        bool
	Hz           float64
	Quality      float64
	Rating       int
	Favourite    bool
	Versions     int
	IOC          int
	LPM          float64
	Lines        int
	SNR          float64
}

// Titled are the charts of a title.
type Titled struct {
	Title  string
	Charts int
	Latest Listed
}

// mostTitles bounds a list of titles: programmes have some dozens.
const mostTitles = 1000

// Charts lists charts, the newest first. It takes as long on the last page as on the first.
func (r *Reader) Charts(ctx context.Context, q ChartQuery) ([]Listed, error) {
	if q.Limit <= 0 {
		q.Limit = UsualLimit
	}
	from, args := q.from()
	if q.Before.Chart != 0 {
		from += " AND (begun, id) < (?, ?)"
		args = append(args, millis(q.Before.Begun), q.Before.Chart)
	}
	all, err := listed(ctx, r.db, "SELECT id, 1 AS charts FROM "+from+" ORDER BY begun DESC, id DESC LIMIT ?", append(args, q.Limit)...)
	charts := make([]Listed, len(all))
	for i, t := range all {
		charts[i] = t.Latest
	}
	return charts, r.failed(err)
}

// CountCharts counts all that Charts lists, page by page.
func (r *Reader) CountCharts(ctx context.Context, q ChartQuery) (n int, err error) {
	from, args := q.from()
	err = r.db.QueryRowContext(ctx, "SELECT count(*) FROM "+from, args...).Scan(&n)
	return n, r.failed(err)
}

// Titles lists the titles of charts with what there is of each, that with the newest chart first.
func (r *Reader) Titles(ctx context.Context, q ChartQuery) ([]Titled, error) {
	from, args := q.in("chart_title")
	// Where max is asked for, SQLite takes the other columns from the row that has it.
	all, err := listed(ctx, r.db, "SELECT id, count(*) AS charts, max(begun) FROM "+from+" GROUP BY shown_title ORDER BY max(begun) DESC LIMIT ?", append(args, mostTitles)...)
	return all, r.failed(err)
}

// ListedChart is what lists tell of a chart, in whatever version.
func (r *Reader) ListedChart(ctx context.Context, id int64) (Listed, error) {
	all, err := listed(ctx, r.db, "SELECT ? AS id, 1 AS charts", id)
	if err == nil && len(all) == 0 {
		err = ErrNoChart
	}
	if err != nil {
		return Listed{}, r.failed(err)
	}
	return all[0].Latest, nil
}

// Neighbours are the charts before and behind one among those of the same title in time; 0: there is none.
func (r *Reader) Neighbours(ctx context.Context, id int64) (previous, following int64, err error) {
	var title string
	var begun int64
	err = r.db.QueryRowContext(ctx, "SELECT shown_title, begun, (SELECT id FROM chart other WHERE other.family = chart.family AND latest) FROM chart WHERE id = ?", id).
		Scan(&title, &begun, &id)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, 0, ErrNoChart
	}
	const of = "(SELECT id FROM chart INDEXED BY chart_title WHERE latest AND shown_title = ?1 AND (begun, id) "
	if err == nil {
		err = r.db.QueryRowContext(ctx, "SELECT coalesce("+of+"< (?2, ?3) ORDER BY begun DESC, id DESC LIMIT 1), 0), coalesce("+of+"> (?2, ?3) ORDER BY begun, id LIMIT 1), 0)", title, begun, id).
			Scan(&previous, &following)
	}
	return previous, following, r.failed(err)
}

// from is where charts of a query are, the newest first.
func (q *ChartQuery) from() (from string, args []any) {
	if q.Title != nil {
		return q.in("chart_title")
	}
	return q.in("chart_newest")
}

// in is where charts of a query are in one of the indexes that have all that it asks for.
func (q *ChartQuery) in(index string) (from string, args []any) {
	from = "chart INDEXED BY " + index + " WHERE latest"
	if q.Title != nil {
		from += " AND shown_title = ?"
		args = append(args, *q.Title)
	}
	and := func(asked bool, condition string, value any) {
		if asked {
			from += " AND " + condition
			args = append(args, value)
		}
	}
	and(q.Receiver != "", "receiver = ?", q.Receiver)
	and(!q.From.IsZero(), "begun >= ?", millis(q.From))
	and(!q.To.IsZero(), "begun < ?", millis(q.To))
	and(q.LeastQuality > 0, "quality >= ?", q.LeastQuality)
	and(q.LeastRating > 0, "rating >= ?", q.LeastRating)
	if q.Favourites {
		from += " AND favourite"
	}
	return from, args
}

// listed lists charts of which keys gives id and the number of charts that they stand for.
func listed(ctx context.Context, q querier, keys string, args ...any) ([]Titled, error) {
	return list(ctx, q, func(s *sql.Rows) (n Titled, err error) {
		c := &n.Latest
		var begun, ended int64
		var text string
		err = s.Scan(&c.Chart, &n.Charts, &c.Transmission, &c.Title, &begun, &ended, &c.Receiver, &c.OnAir, &c.Hz, &c.Quality, &c.Rating, &c.Favourite, &text, &c.Versions)
		if err != nil {
			return n, err
		}
		c.Begun, c.Ended, n.Title = fromMillis(begun), fromMillis(ended), c.Title
		var info struct { // without the quality of each line, which is most of it
			IOC   int     `json:"ioc"`
			LPM   float64 `json:"lines_per_minute"`
			Lines int     `json:"lines"`
			SNR   float64 `json:"snr_db"`
		}
		json.Unmarshal([]byte(text), &info) // what is damaged is left out
		c.IOC, c.LPM, c.Lines, c.SNR = info.IOC, info.LPM, info.Lines, info.SNR
		return n, nil
	}, `SELECT chart.id, charts, transmission, shown_title, chart.begun, chart.ended, chart.receiver, coalesce(on_air, 0), coalesce(hz, 0), chart.quality, chart.rating, chart.favourite,
		info, `+versionsOf+` FROM (`+keys+`) listed JOIN chart ON chart.id = listed.id LEFT JOIN transmission t ON t.id = transmission ORDER BY chart.begun DESC, chart.id DESC`, args...)
}

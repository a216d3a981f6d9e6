package archive

import (
	"context"
	"database/sql"
	"slices"
	"strings"
	"time"
)

// Query says what is searched for. Zero fields do not matter.
type Query struct {
	Words         string    // see query.go
	Title         string    // words of the title alone, in the same language
	Modes         []string  // any of these
	Receivers     []string  // any of these
	LowHz, HighHz float64   // some of it is between; 0: no bound
	From, To      time.Time // some of it was between
	LeastQuality  float64   // 0 to 1
	LeastRating   int
	Favourites    bool // these alone
	Charts        bool // those with charts alone
	Texts         bool // those with text alone
	Only          ID   // this one, if it meets the rest
	Before        ID   // those with lower numbers: the next page
	Limit         int  // of hits; 0: [UsualLimit]
}

// UsualLimit is how many hits Search gives if nothing is said.
const UsualLimit = 50

// Hit is a transmission that was found.
type Hit struct {
	Transmission
	Found []Found // lines in which words were found, the first ones
	Chart int64   // number of its latest chart, or 0
}

// mostFound is how many lines are shown of a hit.
const mostFound = 3

// Search finds transmissions, the latest first: those with the greatest numbers. Every error is one line for the user.
func (r *Reader) Search(ctx context.Context, q Query) ([]Hit, error) {
	if q.Limit <= 0 {
		q.Limit = UsualLimit
	}
	var hits []Hit
	err := r.moment(ctx, func(c *sql.Conn) error {
		s, err := newSearch(ctx, c, q)
		if err != nil {
			return err
		}
		for len(hits) < q.Limit {
			id, ok, err := s.next()
			if err != nil || !ok {
				return err
			}
			h, err := s.hit(id)
			if err != nil {
				return err
			}
			hits = append(hits, h)
		}
		return nil
	})
	if err != nil {
		return nil, r.failed(err)
	}
	return hits, nil
}

// each calls f with the numbers of all that a query finds, the oldest first.
func (r *Reader) each(ctx context.Context, q Query, f func(c *sql.Conn, id ID) error) (n int, err error) {
	err = r.moment(ctx, func(c *sql.Conn) error {
		s, err := newSearch(ctx, c, q)
		if err != nil {
			return err
		}
		var all []ID
		for q.Limit <= 0 || len(all) < q.Limit {
			id, ok, err := s.next()
			if err != nil {
				return err
			}
			if !ok {
				break
			}
			all = append(all, id)
		}
		for _, id := range slices.Backward(all) {
			if err := f(c, id); err != nil {
				return err
			}
			n++
		}
		return nil
	})
	return n, r.failed(err)
}

// search walks from the latest transmission to the first: each of its streams gives the numbers of transmissions that meet a part
// of the query, and what all give is found.
type search struct {
	ctx     context.Context
	conn    *sql.Conn
	terms   []term
	streams []*stream
	not     []*stream // what they give is not found
	below   ID
}

func newSearch(ctx context.Context, c *sql.Conn, q Query) (*search, error) {
	s := &search{ctx: ctx, conn: c, below: 1 << (63 - lineBits)}
	if q.Before > 0 {
		s.below = min(s.below, q.Before)
	}
	var err error
	if s.terms, err = parseWords(q.Words); err != nil {
		return nil, err
	}
	titles, err := parseWords(q.Title)
	if err != nil {
		return nil, err
	}
	for _, t := range s.terms {
		for _, p := range t.parts() {
			s.add(t.not, inWords(p.text), inAbout(p.about))
		}
	}
	for _, t := range titles {
		for _, p := range t.parts() {
			s.add(t.not, inAbout(p.title))
		}
	}
	where, args := q.where()
	s.add(false, source{query: "SELECT id FROM transmission WHERE id < ?" + where + " ORDER BY id DESC LIMIT ?", args: args, per: 1})
	return s, nil
}

func (s *search) add(not bool, sources ...source) {
	t := &stream{sources: sources}
	if not {
		s.not = append(s.not, t)
	} else {
		s.streams = append(s.streams, t)
	}
}

// source is a query that gives numbers, the greatest first; its arguments are the bound, those of args, and how many.
type source struct {
	query string
	args  []any
	per   int64 // numbers for a transmission
}

func inWords(match string) source {
	return source{"SELECT rowid FROM word_index WHERE rowid < ? AND word_index MATCH ? ORDER BY rowid DESC LIMIT ?", []any{match}, 1 << sectionBits}
}

func inAbout(match string) source {
	return source{"SELECT rowid FROM about_index WHERE rowid < ? AND about_index MATCH ? ORDER BY rowid DESC LIMIT ?", []any{match}, 1}
}

// where is what the fields of a query ask of the table of transmissions.
func (q *Query) where() (where string, args []any) {
	and := func(condition string, values ...any) {
		where += " AND " + condition
		args = append(args, values...)
	}
	among := func(column string, values []string) {
		if len(values) > 0 {
			some := make([]any, len(values))
			for i, v := range values {
				some[i] = v
			}
			and(column+" IN (?"+strings.Repeat(", ?", len(values)-1)+")", some...)
		}
	}
	among("mode", q.Modes)
	among("receiver", q.Receivers)
	if q.LowHz > 0 {
		and("high_hz >= ?", q.LowHz)
	}
	if q.HighHz > 0 {
		and("low_hz <= ?", q.HighHz)
	}
	if !q.From.IsZero() {
		and("ended >= ?", millis(q.From))
	}
	if !q.To.IsZero() {
		and("begun < ?", millis(q.To))
	}
	if q.LeastQuality > 0 {
		and("quality >= ?", q.LeastQuality)
	}
	if q.LeastRating > 0 {
		and("rating >= ?", q.LeastRating)
	}
	if q.Favourites {
		and("favourite")
	}
	if q.Charts {
		and("EXISTS (SELECT 1 FROM chart WHERE chart.transmission = transmission.id)")
	}
	if q.Only > 0 {
		and("id = ?", q.Only)
	}
	if q.Texts {
		and("lines > 0")
	}
	return where, args
}

// next is the next transmission that all streams give.
func (s *search) next() (ID, bool, error) {
	for s.below > 1 {
		id := s.below - 1
		for i := 0; i < len(s.streams); {
			got, ok, err := s.streams[i].atMost(s, id)
			if err != nil || !ok {
				return 0, false, err
			}
			if got < id { // so the streams before are asked again
				id, i = got, 0
				if s.streams[0].last == got {
					i = 1
				}
				continue
			}
			i++
		}
		s.below = id
		without, err := s.excluded(id)
		if err != nil {
			return 0, false, err
		}
		if !without {
			return id, true, nil
		}
	}
	return 0, false, nil
}

// excluded says that a transmission has what the query does not want.
func (s *search) excluded(id ID) (bool, error) {
	for _, t := range s.not {
		got, ok, err := t.atMost(s, id)
		if err != nil || ok && got == id {
			return true, err
		}
	}
	return false, nil
}

// stream gives the numbers of transmissions that are in any of its sources, the greatest first.
type stream struct {
	sources []source
	buffers []buffer
	last    ID // that was given last; 0: none
}

// atMost is the greatest number that is not above a bound, which never rises.
func (t *stream) atMost(s *search, bound ID) (id ID, ok bool, err error) {
	if t.buffers == nil {
		t.buffers = make([]buffer, len(t.sources))
	}
	for i := range t.sources {
		got, found, err := t.buffers[i].atMost(s, &t.sources[i], bound)
		if err != nil {
			return 0, false, err
		}
		if found && got > id {
			id, ok = got, true
		}
	}
	t.last = id
	return id, ok, nil
}

// sections are those of the transmission that was given last in which the stream has found something, as far as they were read.
func (t *stream) sections() (all []int64) {
	for i, f := range t.sources {
		if f.per == 1 {
			continue
		}
		for _, n := range t.buffers[i].numbers {
			if ID(n/f.per) != t.last {
				break
			}
			all = append(all, n)
		}
	}
	return all
}

// buffer holds some numbers of a source.
type buffer struct {
	numbers []int64 // the greatest first
	first   int64   // of those that were read
	end     bool    // there are none below
	size    int     // how many numbers are read next
}

// Numbers that are read at a time: few at first, and after a jump that is longer than what was read last, and else more and more.
const (
	leastRead = 128
	mostRead  = 8192
)

func (b *buffer) atMost(s *search, from *source, bound ID) (ID, bool, error) {
	for {
		below := int64(bound+1) * from.per
		passed := 0
		for passed < len(b.numbers) && b.numbers[passed] >= below {
			passed++
		}
		if passed < len(b.numbers) {
			b.numbers = b.numbers[passed:]
			return ID(b.numbers[0] / from.per), true, nil
		}
		if b.end {
			b.numbers = nil
			return 0, false, nil
		}
		b.size = max(leastRead, b.size)
		if n := len(b.numbers); n > 0 {
			if last := b.numbers[n-1]; last-below <= b.first-last {
				b.size = min(2*b.size, mostRead)
			} else {
				b.size = leastRead
			}
		}
		got, err := ids(s.conn.QueryContext(s.ctx, from.query, append(append([]any{below}, from.args...), b.size)...))
		if err != nil {
			return 0, false, err
		}
		b.end = len(got) < b.size
		if b.numbers = got; len(got) > 0 {
			b.first = got[0]
		}
	}
}

// hit is what is shown of a transmission.
func (s *search) hit(id ID) (h Hit, err error) {
	h.Transmission, err = scanTransmission(s.conn.QueryRowContext(s.ctx, "SELECT "+transmissionColumns+" FROM transmission WHERE id = ?", id))
	if err != nil {
		return h, err
	}
	err = s.conn.QueryRowContext(s.ctx, "SELECT coalesce((SELECT id FROM chart WHERE transmission = ? AND latest ORDER BY begun DESC, id DESC LIMIT 1), 0)", id).Scan(&h.Chart)
	if err != nil {
		return h, err
	}
	h.Found, err = s.found(id)
	return h, err
}

// found are the first lines of a transmission, which was given last, that have a word of the query.
func (s *search) found(id ID) (found []Found, err error) {
	if len(s.terms) == 0 {
		return nil, nil
	}
	var sections []int64
	for _, t := range s.streams {
		sections = append(sections, t.sections()...)
	}
	slices.Sort(sections)
	doubtful := slices.ContainsFunc(s.terms, func(t term) bool { return t.garbled })
	for _, n := range slices.Compact(sections) {
		number := int(n & (1<<sectionBits - 1))
		// A phrase may begin in the line before.
		text, err := plainLines(s.ctx, s.conn, lineID(id, max(0, number*sectionLines-1)), lineID(id, (number+1)*sectionLines), doubtful)
		if err != nil {
			return nil, err
		}
		for i, l := range text {
			next := ""
			if i+1 < len(text) {
				next = text[i+1].Text
			}
			if len(found) > 0 && found[len(found)-1].Number >= l.Number {
				continue
			}
			if m := matches(s.terms, l, next); len(m) > 0 {
				whole, err := lines(s.ctx, s.conn, lineID(id, l.Number), lineID(id, l.Number+1))
				if err != nil {
					return nil, err
				}
				for _, l := range whole {
					found = append(found, Found{l, m})
				}
				if len(found) >= mostFound {
					return found, nil
				}
			}
		}
	}
	return found, nil
}

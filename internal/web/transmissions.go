package web

import (
	"errors"
	"math"
	"net/http"
	"time"
	"unicode/utf8"

	"ionoscribe/internal/access"
	"ionoscribe/internal/archive"
)

// How many lines are given at a time. A line may have 400 characters, of some ten bytes each in JSON.
const (
	usualLines = 500
	mostLines  = 2000
)

func (s *Server) transmissionRoutes() []route {
	return []route{
		{"GET", "/api/transmissions", access.Look, s.transmissions},
		{"GET", "/api/transmissions/export", access.Look, s.exportFound},
		{"GET", "/api/transmissions/{transmission}", access.Look, s.transmission},
		{"GET", "/api/transmissions/{transmission}/export", access.Look, s.exportOne},
		{"PATCH", "/api/transmissions/{transmission}", access.Change, s.noteTransmission},
	}
}

// transmissionFilters are the parameters by which transmissions are searched for.
var transmissionFilters = []string{"words", "title", "mode", "receiver", "from_utc", "to_utc", "low_hz", "high_hz", "least_quality", "least_rating", "favourites", "charts", "texts"}

// transmissionQuery is the search that a request asks for.
func transmissionQuery(q *query) archive.Query {
	a := archive.Query{
		Words: q.text("words"), Title: q.text("title"), Modes: q.texts("mode"), Receivers: q.texts("receiver"),
		From: q.time("from_utc"), To: q.time("to_utc"), LowHz: q.number("low_hz"), HighHz: q.number("high_hz"),
		LeastQuality: q.number("least_quality"), LeastRating: q.rating("least_rating"), Favourites: q.yes("favourites"), Charts: q.yes("charts"), Texts: q.yes("texts"),
	}
	for _, name := range []string{"words", "title"} {
		if err := archive.CheckWords(q.text(name)); err != nil {
			q.wrong(badRequest("%s: %v", name, err))
		}
	}
	if len(a.Modes)+len(a.Receivers) > mostNames {
		q.wrong(badRequest("more than %d modes and receivers are asked for", mostNames))
	}
	return a
}

// mostNames bounds what a search asks for by name.
const mostNames = 100

func (s *Server) transmissions(_ http.ResponseWriter, r *http.Request) (any, error) {
	q := queryOf(r, append([]string{"before", "limit"}, transmissionFilters...)...)
	a := transmissionQuery(q)
	a.Before, a.Limit = archive.ID(q.integer("before")), q.limit(mostListed)
	if q.err != nil {
		return nil, q.err
	}
	ctx, cancel := inTime(r)
	defer cancel()
	hits, err := s.Archive.Search(ctx, a)
	if err != nil {
		return nil, fromArchive(err)
	}
	answer := struct {
		Transmissions []archive.Hit `json:"transmissions"`
		Next          archive.ID    `json:"next,omitempty"`
	}{Transmissions: notNil(hits)}
	if len(hits) == a.Limit {
		answer.Next = hits[len(hits)-1].ID
	}
	return answer, nil
}

// notNil makes an empty list of none, so that JSON has [] and not null.
func notNil[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// textLine is a line with its characters.
type textLine struct {
	archive.LineObject
	Chars []textChar `json:"chars"`
}

// textChar is written as [text, confidence] or, if it may be others, [text, confidence, [others]].
type textChar []any

func textCharOf(c archive.Char) textChar {
	t := textChar{c.Text, math.Round(c.Confidence*100) / 100}
	if len(c.Alternatives) > 0 {
		t = append(t, c.Alternatives)
	}
	return t
}

// level is the strength of a transmission at a time.
type level struct {
	At  string  `json:"utc"`
	SNR float64 `json:"snr_db"`
}

// wholeTransmission is all of one.
type wholeTransmission struct {
	archive.Object
	Text     []textLine `json:"text"`
	NextLine int        `json:"next_line,omitempty"` // from which more is to be had
	Charts   []chart    `json:"charts"`
	Levels   []level    `json:"levels"`
}

func (s *Server) transmission(_ http.ResponseWriter, r *http.Request) (any, error) {
	id, err := numberIn(r, "transmission")
	q := queryOf(r, "words", "from_line", "lines")
	from, lines := int(min(q.integer("from_line"), math.MaxInt32)), int(q.integer("lines"))
	if lines == 0 {
		lines = usualLines
	}
	lines = min(lines, mostLines)
	if err = errors.Join(err, q.err); err != nil {
		return nil, err
	}
	ctx, cancel := inTime(r)
	defer cancel()
	record, err := s.Archive.Part(ctx, archive.ID(id), from, lines)
	if err != nil {
		return nil, fromArchive(err)
	}
	matches, err := archive.Matches(q.text("words"), record.Text)
	if err != nil {
		return nil, badRequest("words: %v", err)
	}
	answer := wholeTransmission{Object: record.Object(), Text: []textLine{}, Charts: []chart{}, Levels: []level{}}
	for i, l := range record.Text {
		o := textLine{LineObject: l.Object(), Chars: []textChar{}}
		o.Mark(matches[i])
		for _, c := range l.Chars {
			o.Chars = append(o.Chars, textCharOf(c))
		}
		answer.Text = append(answer.Text, o)
	}
	if n := len(record.Text); n == lines && record.Text[n-1].Number+1 < record.Lines {
		answer.NextLine = record.Text[n-1].Number + 1
	}
	for _, c := range record.Charts {
		listed, err := s.Archive.ListedChart(ctx, c.ID)
		if err != nil {
			return nil, fromArchive(err)
		}
		answer.Charts = append(answer.Charts, chartOf(listed))
	}
	for _, l := range record.Levels {
		answer.Levels = append(answer.Levels, level{stamp(l.At), math.Round(l.SNR*10) / 10})
	}
	return answer, nil
}

// stamp is how times are written.
func stamp(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000Z") }

// Bounds of what a person says of a transmission, in characters.
const (
	mostTitle = 200
	mostNotes = 10_000
)

func (s *Server) noteTransmission(_ http.ResponseWriter, r *http.Request) (any, error) {
	id, err := numberIn(r, "transmission")
	if err != nil {
		return nil, err
	}
	var in struct {
		Title     *string `json:"title"`
		Notes     *string `json:"notes"`
		Rating    *int    `json:"rating"`
		Favourite *bool   `json:"favourite"`
	}
	if err := read(r, &in); err != nil {
		return nil, err
	}
	for _, c := range []struct {
		name string
		text *string
		most int
	}{{"title", in.Title, mostTitle}, {"notes", in.Notes, mostNotes}} {
		if c.text != nil && utf8.RuneCountInString(*c.text) > c.most {
			return nil, badRequest("%s may have %d characters", c.name, c.most)
		}
	}
	if in.Rating != nil && (*in.Rating < 0 || *in.Rating > 5) {
		return nil, badRequest("rating = %d is not between 0 and 5; 0 is none", *in.Rating)
	}
	if err := s.Archive.Note(r.Context(), archive.ID(id), archive.Note(in)); err != nil {
		return nil, fromArchive(err)
	}
	record, err := s.Archive.Part(r.Context(), archive.ID(id), 0, 0)
	if err != nil {
		return nil, fromArchive(err)
	}
	return record.Object(), nil
}

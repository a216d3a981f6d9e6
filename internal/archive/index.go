package archive

import (
	"context"
	"database/sql"
	"strings"
)

// The index of words has a document for a section of a transmission's text: 16 lines, and before them the last words of the
// section before, so that a phrase is found that goes on there. It is written anew with each line that is complete. Few
// documents make a search fast, short ones make it cheap to write one anew.
const (
	sectionLines = 16
	sectionBits  = lineBits - 4
	// before is how many words of the section before are repeated: phrases of one word more are found as they are.
	before = 7
)

func documentID(id ID, section int) int64 { return int64(id)<<sectionBits | int64(section) }

// section is one of the text of a transmission.
type section struct {
	number int
	before string
	lines  []Line
}

// add adds a line that is complete, and tells whether the section is full.
func (s *section) add(l Line) (full bool) {
	s.lines = append(s.lines, l)
	return l.Number%sectionLines == sectionLines-1
}

// next is the section behind a full one.
func (s *section) next() section {
	var last []string
	for i := len(s.lines) - 1; i >= 0 && len(last) < before; i-- {
		last = append(words(textOf(s.lines[i].Chars)), last...)
	}
	return section{number: s.number + 1, before: strings.Join(last[max(0, len(last)-before):], " ")}
}

// document is what is searched: text, and readings of what is garbled.
func (s *section) document() (text, other string) {
	var t, o strings.Builder
	t.WriteString(s.before)
	for _, l := range s.lines {
		t.WriteByte('\n')
		t.WriteString(textOf(l.Chars))
		garbled(l.Chars, &o)
	}
	return strings.ToValidUTF8(t.String(), "?"), strings.ToValidUTF8(o.String(), "?")
}

const putDocument = "INSERT OR REPLACE INTO word_index (rowid, text, garbled) VALUES (?, ?, ?)"

// putSection has a section indexed as it is now.
func (a *Archive) putSection(id ID, s section) {
	a.pending.put(row{key: key{table: tableIndex, a: documentID(id, s.number)}, bytes: 0, write: func(w *writer) error {
		text, other := s.document()
		return w.exec(putDocument, documentID(id, s.number), text, other)
	}})
}

// putAbout indexes the titles and notes of a transmission as they are in the database.
const putAbout = `INSERT OR REPLACE INTO about_index (rowid, title, notes)
	SELECT id, title || ' ' || coalesce((SELECT group_concat(title, ' ') FROM (SELECT DISTINCT title FROM chart WHERE transmission = ?1)), ''), notes FROM transmission WHERE id = ?1`

// indexSections indexes sections of a transmission from one on, from the lines in the database.
func indexSections(ctx context.Context, c *sql.Conn, id ID, from int) error {
	s := section{number: from}
	first := from * sectionLines
	if from > 0 {
		before, err := lines(ctx, c, lineID(id, first-sectionLines), lineID(id, first))
		if err != nil {
			return err
		}
		s = (&section{number: from - 1, lines: before}).next()
	}
	for {
		all, err := lines(ctx, c, lineID(id, s.number*sectionLines), lineID(id, (s.number+1)*sectionLines))
		if err != nil || len(all) == 0 {
			return err
		}
		s.lines = all
		text, other := s.document()
		if _, err := c.ExecContext(ctx, putDocument, documentID(id, s.number), text, other); err != nil {
			return err
		}
		s = s.next()
	}
}

// indexAll indexes a database that has no index.
func indexAll(ctx context.Context, c *sql.Conn) error {
	all, err := ids(c.QueryContext(ctx, "SELECT id FROM transmission"))
	if err != nil {
		return err
	}
	for _, id := range all {
		if err := indexSections(ctx, c, ID(id), 0); err != nil {
			return err
		}
		if _, err := c.ExecContext(ctx, putAbout, id); err != nil {
			return err
		}
	}
	return nil
}

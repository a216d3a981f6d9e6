package programme

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"ionoscribe/internal/fault"
)

// mostBytes is more than any programme has: a file that is larger is another one.
const mostBytes = 16 << 20

// ReadCSV reads entries from CSV (RFC 4180), with commas or semicolons. Its first row names the columns, in any order:
//
//	id         unique; without it, it is made of title and frequency
//	title      what is transmitted
//	times      UTC, such as 06:30 18:30
//	days       of the week, such as Mon-Fri or Sat Sun; empty: all
//	from, to   first and last day, such as 2026-11-27; empty: open
//	frequency  on the air, such as 7878.1 kHz; empty: any
//	mode       name of a mode; empty: any
//	receivers  names of those that may take it; empty: any
//	length     such as 20 min
//	early      by which it may begin before its time; empty: 2 min
//	late       by which it may begin after its time; empty: 5 min
//	within     from the frequency, such as 500 Hz; empty: 2 kHz
//	rule       recurrence rule of RFC 5545, counted from the day from, in the place of days and to
//	except     times that fall out, UTC, such as 2026-12-25T06:30Z
//	also       times besides
//	zone       IANA name of the time zone of times, days, from, to and rule; empty: UTC
//
// Lists have spaces between. What is wrong is an error of type [fault.Problems], with the name of the file.
func ReadCSV(r io.Reader, file string, names Names) ([]Entry, error) {
	text, err := readAll(r)
	if err != nil {
		return nil, err
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff")) // that spreadsheets put first
	c := csv.NewReader(bytes.NewReader(text))
	c.TrimLeadingSpace = true
	if head, _, _ := bytes.Cut(text, []byte("\n")); !bytes.ContainsRune(head, ',') && bytes.ContainsRune(head, ';') {
		c.Comma = ';'
	}
	heads, err := c.Read()
	if err != nil {
		return nil, fault.Problems{csvProblem(file, err)}
	}
	var p fault.Problems
	for i, head := range heads {
		heads[i] = strings.ToLower(strings.TrimSpace(head))
		line, column := c.FieldPos(i)
		switch {
		case !slices.Contains(Columns(), heads[i]):
			p = append(p, fault.Problem{File: file, Line: line, Column: column, Message: fmt.Sprintf("there is no column %q", head), Mend: oneOf(heads[i], Columns())})
		case slices.Contains(heads[:i], heads[i]):
			p = append(p, fault.Problem{File: file, Line: line, Column: column, Message: fmt.Sprintf("the column %q is there twice", head), Mend: "leave one out"})
		}
	}
	if len(p) > 0 {
		return nil, p.Err()
	}
	var entries []Entry
	lines := map[string]int{} // of IDs
	for {
		cells, err := c.Read()
		if errors.Is(err, io.EOF) {
			return entries, p.Err()
		}
		if err != nil {
			p = append(p, csvProblem(file, err))
			if !errors.Is(err, csv.ErrFieldCount) {
				return nil, p.Err()
			}
			continue
		}
		e, wrong := readRow(heads, cells, names)
		for _, w := range wrong {
			line, column := c.FieldPos(max(0, slices.Index(heads, w.Column)))
			p = append(p, fault.Problem{File: file, Line: line, Column: column, Message: w.Message, Mend: w.Mend})
		}
		line, column := c.FieldPos(max(0, slices.Index(heads, "id")))
		if before, ok := lines[e.ID]; ok && e.ID != "" {
			p = append(p, fault.Problem{File: file, Line: line, Column: column, Message: fmt.Sprintf("the entry of line %d has the id %s too", before, e.ID), Mend: "give one of them an id of its own"})
		}
		lines[e.ID] = line
		entries = append(entries, e)
	}
}

func readRow(heads, cells []string, names Names) (e Entry, wrong []Wrong) {
	for i, cell := range cells {
		if err := Set(&e, heads[i], cell); err != nil {
			wrong = append(wrong, Wrong{heads[i], fmt.Sprintf("%s %q %v", heads[i], strings.TrimSpace(cell), err), ""})
		}
	}
	if len(wrong) == 0 { // or else more would follow from that
		wrong = e.Complete(names)
	}
	return e, wrong
}

// csvProblem says in a sentence what is no CSV.
func csvProblem(file string, err error) fault.Problem {
	p := fault.Problem{File: file, Line: 1, Message: "there is no row that names the columns", Mend: "see the help of the command programme"}
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		p.Line, p.Column = parse.Line, parse.Column
		p.Message, p.Mend = "it is not CSV: "+parse.Err.Error(), `put a cell that has a comma or " between ", and write " as "" in it`
		if errors.Is(err, csv.ErrFieldCount) {
			p.Message, p.Mend = "the row has not as many cells as there are columns", "add or take out separators"
		}
	}
	return p
}

func readAll(r io.Reader) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(r, mostBytes+1))
	if err == nil && len(text) > mostBytes {
		err = errors.New("is larger than any programme")
	}
	return text, err
}

// WriteCSV writes entries as [ReadCSV] reads them, with all columns.
func WriteCSV(w io.Writer, entries []Entry) error {
	b := bufio.NewWriter(w)
	c := csv.NewWriter(b)
	c.Write(Columns())
	for i := range entries {
		cells := make([]string, len(columns))
		for j, column := range columns {
			cells[j] = column.text(&entries[i])
		}
		c.Write(cells)
	}
	c.Flush()
	if err := c.Error(); err != nil {
		return err
	}
	return b.Flush()
}

package archive

import (
	"bufio"
	"context"
	"database/sql"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"

	"ionoscribe/internal/fault"
)

// Form is how found transmissions are exported.
type Form string

const (
	AsText Form = "text" // titles and lines
	AsCSV  Form = "csv"  // RFC 4180, a line each
	AsJSON Form = "json" // an object a line, with all characters
	AsADIF Form = "adif" // stations heard, for a log
)

// exporter writes records.
type exporter interface {
	record(r *Record) error
	end() error
}

// Export writes all that a query finds, the oldest first; of a query with a limit the latest ones. It returns how many
// transmissions it found.
func (r *Reader) Export(ctx context.Context, w io.Writer, f Form, q Query) (int, error) {
	b := bufio.NewWriterSize(w, 1<<16)
	var e exporter
	switch f {
	case AsText:
		e = &textExporter{w: b}
	case AsCSV:
		e = newCSV(b)
	case AsJSON:
		e = &jsonExporter{json.NewEncoder(b)}
	case AsADIF:
		e = &adifExporter{w: b}
	default:
		return 0, fmt.Errorf("there is no form %q to export as", f)
	}
	n, err := r.each(ctx, q, func(c *sql.Conn, id ID) error {
		record, err := record(ctx, c, id)
		if err != nil {
			return err
		}
		return e.record(record)
	})
	if err == nil {
		err = e.end()
	}
	if err == nil {
		err = b.Flush()
	}
	return n, err
}

// textExporter writes for people:
//
//	2031-05-04T12:00:00Z  7878.10 kHz  rtty, 50 Bd, shift 450 Hz  north  SNR 12.5 dB
//	Title
//	2031-05-04T12:00:00Z  GALE WARNING OSTREL SEA
type textExporter struct {
	w     *bufio.Writer
	begun bool
}

func (e *textExporter) record(r *Record) error {
	if e.begun {
		fmt.Fprintln(e.w)
	}
	e.begun = true
	what := r.Mode
	if r.Settings != "" {
		what += ", " + r.Settings
	}
	fmt.Fprintf(e.w, "%s  %s  %s  %s  SNR %.1f dB\n", stamp(r.Begun), r.Frequency(), what, fault.OneLine(r.Receiver), r.SNR)
	for _, s := range []string{r.Title, r.Notes} {
		if s != "" {
			fmt.Fprintln(e.w, fault.OneLine(s))
		}
	}
	for _, c := range r.Charts {
		fmt.Fprintf(e.w, "%s  %s\n", stamp(c.Info.Start), c.Picture)
	}
	for _, l := range r.Text {
		fmt.Fprintf(e.w, "%s  %s\n", stamp(l.Begun), fault.OneLine(l.Text))
	}
	return nil // bufio keeps it for end
}

func (e *textExporter) end() error { return nil }

type jsonExporter struct{ *json.Encoder }

func (e *jsonExporter) record(r *Record) error { return e.Encode(r) }
func (e *jsonExporter) end() error             { return nil }

// csvExporter writes a table: a row for each line and each chart, or one where there is neither.
type csvExporter struct{ w *csv.Writer }

func newCSV(w io.Writer) *csvExporter {
	e := &csvExporter{csv.NewWriter(w)}
	e.w.UseCRLF = true // RFC 4180, section 2
	e.w.Write([]string{"transmission", "receiver", "mode", "settings", "frequency_hz", "begin_utc", "end_utc", "snr_db", "quality", "title", "favourite", "rating", "notes",
		"line_begin_utc", "text", "picture"})
	return e
}

// cell keeps a spreadsheet from taking a text for a formula, which Morse text in particular looks like: "=" is a break there.
func cell(s string) string {
	if s != "" && strings.ContainsRune("=+-@", rune(s[0])) {
		return " " + s
	}
	return s
}

func (e *csvExporter) record(r *Record) error {
	favourite := ""
	if r.Favourite {
		favourite = "yes"
	}
	number := func(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }
	row := func(begun, text, picture string) error {
		return e.w.Write([]string{strconv.FormatInt(int64(r.ID), 10), cell(r.Receiver), cell(r.Mode), cell(r.Settings), number(r.Hz, 1), stamp(r.Begun), stamp(r.Ended), number(r.SNR, 1),
			number(r.Quality, 3), cell(r.Title), favourite, strconv.Itoa(r.Rating), cell(r.Notes), begun, cell(text), cell(picture)})
	}
	for _, c := range r.Charts {
		if err := row(stamp(c.Info.Start), "", c.Picture); err != nil {
			return err
		}
	}
	for _, l := range r.Text {
		if err := row(stamp(l.Begun), l.Text, ""); err != nil {
			return err
		}
	}
	if len(r.Charts)+len(r.Text) == 0 {
		return row("", "", "")
	}
	return nil
}

func (e *csvExporter) end() error {
	e.w.Flush()
	return e.w.Error()
}

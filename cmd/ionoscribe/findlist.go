package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode"

	"ionoscribe/internal/alerts"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/filing"
)

// What find lists beside transmissions.
const (
	listExpected  = "expected"
	listIncidents = "incidents"
	listDeleted   = "deleted"
	listAlerts    = "alerts"
	listProblems  = "problems"
)

var lists = []string{listExpected, listIncidents, listDeleted, listAlerts, listProblems}

// listed is a row of a list: as columns, and as a value that is JSON.
type listed struct {
	columns string
	value   any
}

// checkList says what does not go with --list.
func (o findOptions) checkList(args []string, changed func(flag string) bool) error {
	if !slices.Contains(lists, o.list) {
		return usageError{fmt.Errorf("--list %q is none of %s", o.list, strings.Join(lists, ", "))}
	}
	if len(args) > 0 {
		return usageError{errors.New("--list takes no words: they are looked up in transmissions")}
	}
	for _, f := range []string{"mode", "receiver", "frequency", "title", "quality", "rating", "favourites", "limit", "before", "as", "out"} {
		if changed(f) {
			return usageError{fmt.Errorf("--%s does not go with --list; --from, --to, --last and --json do", f)}
		}
	}
	return nil
}

// writeList lists what is no transmission, of the last day if no time is given.
func (o findOptions) writeList(ctx context.Context, a *archive.Reader, q archive.Query, now time.Time, out io.Writer) (int, error) {
	if q.To.IsZero() {
		q.To = now.Add(time.Hour) // what is due next
	}
	if q.From.IsZero() {
		q.From = q.To.Add(-25 * time.Hour)
	}
	rows, header, err := o.rows(ctx, a, q.From, q.To)
	if err != nil {
		return 0, err
	}
	if !o.json && len(rows) > 0 {
		if err := printLine(out, header); err != nil {
			return 0, err
		}
	}
	for _, r := range rows {
		line := strings.TrimRight(r.columns, " ")
		if o.json {
			b, err := json.Marshal(r.value)
			if err != nil {
				return 0, err
			}
			line = string(b)
		}
		if err := printLine(out, line); err != nil {
			return 0, err
		}
	}
	return len(rows), nil
}

func (o findOptions) rows(ctx context.Context, a *archive.Reader, from, to time.Time) (rows []listed, header string, err error) {
	stamp := func(t time.Time) string { return t.UTC().Format(filing.TimeForm) }
	add := func(value any, form string, columns ...any) {
		rows = append(rows, listed{printable(fmt.Sprintf(form, columns...)), value})
	}
	switch o.list {
	case listExpected:
		all, err := a.Expected(ctx, from, to)
		came := map[string]bool{}
		for _, x := range all {
			came[x.Key] = came[x.Key] || x.Outcome != archive.Due
		}
		for _, x := range all {
			if x.Outcome == archive.Due && came[x.Key] {
				continue // by one of the receivers
			}
			number, quality := "", ""
			if x.Transmission != 0 {
				number, quality = fmt.Sprint(x.Transmission), fmt.Sprintf("%.2f", x.Quality)
			}
			add(x, "%s  %-7s  %-12s  %12s  %7s  %s  %s", stamp(x.At), x.Outcome, x.Receiver, number, quality, x.Title, x.Why)
		}
		return rows, "due                   outcome  receiver      transmission  quality  title", err
	case listIncidents:
		all, err := a.Incidents(ctx, from, to)
		for _, x := range all {
			text := x.Text
			if x.Seconds > 0 {
				text = strings.TrimSpace(fmt.Sprintf("%.2f s  %s", x.Seconds, text))
			}
			add(x, "%s  %-8s  %-12s  %s", stamp(x.At), x.What, x.Receiver, text)
		}
		return rows, "time                  what      receiver      text", err
	case listDeleted:
		all, err := a.Deletions(ctx, from, to)
		for _, x := range all {
			what := x.Path
			if what == "" {
				what = fmt.Sprintf("transmission %d", x.Transmission)
			}
			add(x, "%s  %-6s  %10d  %s  %s  %s", stamp(x.At), x.Kind, x.Bytes, x.Reason, what, x.Title)
		}
		return rows, "time                  kind         bytes  reason, and what it was", err
	}
	if o.list == listProblems { // of any time
		all, err := a.Check(ctx)
		for _, x := range all {
			add(x, "%v", x)
		}
		return rows, "what is wrong with the archive", err
	}
	all, err := a.Deliveries(ctx, from, to)
	for _, x := range all {
		add(delivery{x.ID, x.Way, x.State, x.Attempts, stamp(x.Changed), x.Reply, x.Alert}, "%s  %-9s  %-12s  %-12s  %8d  %s  %s", stamp(x.Alert.Made), x.State, x.Alert.Rule, x.Way, x.Attempts, x.Alert.Summary, x.Reply)
	}
	return rows, "time                  state      rule          way           attempts  what, and the reply", err
}

// delivery is an alert on one way out as JSON has it.
type delivery struct {
	Number   int64        `json:"delivery"`
	Way      string       `json:"way"`
	State    alerts.State `json:"state"`
	Attempts int          `json:"attempts"`
	Changed  string       `json:"changed_utc"`
	Reply    string       `json:"reply,omitempty"`
	Alert    alerts.Alert `json:"alert"`
}

// printable drops what a terminal might obey, and keeps columns.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return -1
	}, s)
}

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/internal/archive"
	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/fault"
	"ionoscribe/internal/flags"
	"ionoscribe/internal/modes"
	"ionoscribe/internal/quantity"
	"ionoscribe/survey"
)

type findOptions struct {
	station   string
	modes     []string
	receivers []string
	frequency string
	from, to  string
	last      string
	title     string
	quality   float64
	rating    int
	favourite bool
	limit     int
	before    int64
	list      string // what is listed in the place of transmissions
	json      bool
	as        string
	out       string
}

// asCharts exports a folder of charts.
const asCharts = "charts"

func newFindCommand() *cobra.Command {
	var o findOptions
	cmd := &cobra.Command{
		Use:   "find [flags] [WORDS]",
		Short: "Search what a station has heard",
		Long: `Search the archive of a station, also while it runs. Without WORDS, all that the flags allow is found. WORDS are looked
up in texts, titles and notes; capital letters and accents do not matter:

  gale warning     both words are in it
  "gale warning"   the words follow each other, also from one line to the next
  meteo*           a word that begins so
  ~warning         the word, also where some of it was printed with low confidence and is wrong, missing or too much there
                   by one character
  -test            that is not in it

A shell takes quotation marks away: an argument with gaps in it is a phrase, and '~gale "sea area" -test', in single
quotation marks, is taken as it is. What begins with - stands behind -- or in such an argument.

The latest transmissions come first. --as exports all that is found: as text, as a table (CSV), as JSON with the time and
the confidence of each character, as ADIF (stations heard, for a log: call signs behind DE), or a folder of charts with
an index. --list shows what else a station knows: what the programme expected and what became of it, incidents (lost
samples, receivers that failed), what was deleted and why, alerts with their deliveries, and what is wrong with the
archive itself, of which database and files are read for that.

` + statusHelp,
		Example: `  ionoscribe find --last 12h
  ionoscribe find "gale warning" --mode rtty --from 2026-11-20
  ionoscribe find --frequency 7.8MHz-7.9MHz --quality 0.8 --json
  ionoscribe find --list expected
  ionoscribe find --title analysis --as charts --out charts`,
	}
	cmd.RunE = func(c *cobra.Command, words []string) error {
		if o.list != "" {
			if err := o.checkList(words, c.Flags().Changed); err != nil {
				return err
			}
		}
		return o.run(c.Context(), words, c.Flags().Changed("limit"), c.OutOrStdout(), c.ErrOrStderr(), time.Now())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *findOptions) addFlags(f *pflag.FlagSet) {
	kinds := append(names(modes.All), string(survey.Other), string(survey.Carrier))
	flags.Under(flags.WhereFrom, f, func(f *pflag.FlagSet) {
		f.StringVar(&o.station, "station", "station", "`FOLDER` of the station")
	})
	flags.Under(flags.WhatToFind, f, func(f *pflag.FlagSet) {
		f.StringSliceVar(&o.modes, "mode", nil, "`MODES`, with commas between: "+strings.Join(kinds, ", "))
		f.StringSliceVar(&o.receivers, "receiver", nil, "`NAMES` of receivers, with commas between")
		f.StringVar(&o.frequency, "frequency", "", "`FREQUENCY` such as 7878.1kHz, within 1 kHz, or from one to another such as 7.8MHz-7.9MHz")
		f.StringVar(&o.from, "from", "", "`TIME` in UTC from which on, such as 2026-11-20 or 2026-11-20T06:00")
		f.StringVar(&o.to, "to", "", "`TIME` in UTC until which, such as 2026-11-21T06:00; a day counts to its end")
		f.StringVar(&o.last, "last", "", "`TIME` until now, in the place of --from, such as 12h")
		f.StringVar(&o.title, "title", "", "`WORDS` of the title")
		f.Float64Var(&o.quality, "quality", 0, "least quality, 0 to 1: mean confidence of the characters, or quality of the lines of charts")
		f.IntVar(&o.rating, "rating", 0, "least rating, 1 to 5")
		f.BoolVar(&o.favourite, "favourites", false, "only favourites")
		f.IntVar(&o.limit, "limit", archive.UsualLimit, "how many at most, the latest ones; 0: all, as it is with --as if this is not given")
		f.Int64Var(&o.before, "before", 0, "only those with a lower `NUMBER`: the next page")
	})
	flags.Under(flags.WhereTo, f, func(f *pflag.FlagSet) {
		f.StringVar(&o.list, "list", "", "list in the place of transmissions: "+strings.Join(lists, ", ")+" (of the last day, if no time is given)")
		f.BoolVar(&o.json, "json", false, "write a JSON object a line instead of the table")
		f.StringVar(&o.as, "as", "", "export as text, csv, json, adif or charts")
		f.StringVarP(&o.out, "out", "o", "", "`FILE` for what --as exports (default: standard output); of charts a FOLDER")
	})
	flags.Choices(f, "mode", kinds...)
	flags.Choices(f, "list", lists...)
	flags.Choices(f, "as", string(archive.AsText), string(archive.AsCSV), string(archive.AsJSON), string(archive.AsADIF), asCharts)
}

var errNothingFound = errors.New("nothing was found")

func (o findOptions) run(ctx context.Context, args []string, limited bool, out, notes io.Writer, now time.Time) error {
	q, err := o.query(args, now)
	if err != nil {
		return err
	}
	if o.as != "" && !limited {
		q.Limit = 0
	}
	if err := o.check(); err != nil {
		return err
	}
	a, err := archive.OpenReader(o.station)
	if err != nil {
		return err
	}
	defer a.Close()
	n := 0
	if o.list != "" {
		n, err = o.writeList(ctx, a, q, now, out)
	} else if o.as != "" {
		n, err = o.export(ctx, a, q, out)
	} else {
		n, err = o.table(ctx, a, q, out, notes)
	}
	switch {
	case ctx.Err() != nil:
		return errInterrupted
	case err == nil && n == 0:
		return fmt.Errorf("%w in %s", errNothingFound, o.station)
	}
	return err
}

func (o findOptions) check() error {
	if o.as == "" {
		if o.out != "" {
			return usageError{errors.New("--out is for --as, which says in which form; give it too")}
		}
		return nil
	}
	forms := []string{string(archive.AsText), string(archive.AsCSV), string(archive.AsJSON), string(archive.AsADIF), asCharts}
	switch {
	case !slices.Contains(forms, o.as):
		return usageError{fmt.Errorf("--as %q is none of %s", o.as, strings.Join(forms, ", "))}
	case o.json:
		return usageError{errors.New("--json lists what is found, --as exports it; give one of them")}
	case o.as == asCharts && o.out == "":
		return usageError{errors.New("--as charts needs a folder: give it with --out")}
	case o.as != asCharts && o.out != "":
		return placeFor(o.out, filepath.Join(o.station, archive.Name))
	}
	return nil
}

// query is what the flags and words ask for.
func (o findOptions) query(args []string, now time.Time) (q archive.Query, err error) {
	wrong := func(form string, more ...any) (archive.Query, error) { return q, usageError{fmt.Errorf(form, more...)} }
	q = archive.Query{Words: wordsOf(args), Title: o.title, Modes: o.modes, Receivers: o.receivers, LeastQuality: o.quality, LeastRating: o.rating, Favourites: o.favourite,
		Limit: o.limit, Before: archive.ID(o.before)}
	for _, words := range []string{q.Words, q.Title} {
		if err := archive.CheckWords(words); err != nil {
			return wrong("%w", err)
		}
	}
	for _, m := range o.modes {
		if kinds := append(names(modes.All), string(survey.Other), string(survey.Carrier)); !slices.Contains(kinds, m) {
			return wrong("--mode %q is none of %s", m, strings.Join(kinds, ", "))
		}
	}
	switch {
	case !(o.quality >= 0 && o.quality <= 1):
		return wrong("--quality %g is not between 0 and 1", o.quality)
	case o.rating < 0 || o.rating > 5:
		return wrong("--rating %d is not between 1 and 5", o.rating)
	case o.limit < 0:
		return wrong("--limit %d: it is 0 or more", o.limit)
	case o.before < 0:
		return wrong("--before %d is no number of a transmission", o.before)
	case o.last != "" && o.from != "":
		return wrong("--last takes the place of --from; give one of them")
	}
	if o.frequency != "" {
		if q.LowHz, q.HighHz, err = frequencies(o.frequency); err != nil {
			return wrong("--frequency %q %w", o.frequency, err)
		}
	}
	if o.last != "" {
		d, err := quantity.Duration(o.last)
		if err != nil {
			return wrong("--last %q %w", o.last, err)
		}
		q.From = now.Add(-d)
	}
	if o.from != "" {
		if q.From, _, err = timeOrDay(o.from); err != nil {
			return wrong("--from %q %w", o.from, err)
		}
	}
	if o.to != "" {
		var day bool
		if q.To, day, err = timeOrDay(o.to); err != nil {
			return wrong("--to %q %w", o.to, err)
		}
		if day {
			q.To = q.To.AddDate(0, 0, 1)
		}
	}
	if !q.From.IsZero() && !q.To.IsZero() && !q.From.Before(q.To) {
		return wrong("the time from which on is not before the one until which")
	}
	return q, nil
}

// wordsOf makes a query of arguments: a shell has taken away the quotation marks of a phrase.
func wordsOf(args []string) string {
	var all []string
	for _, a := range args {
		if trimmed := strings.TrimSpace(a); strings.ContainsAny(trimmed, " \t") && !strings.ContainsAny(trimmed, `"~*`) && !strings.Contains(" "+trimmed, " -") {
			a = `"` + trimmed + `"`
		}
		all = append(all, a)
	}
	return strings.Join(all, " ")
}

// nearHz is how far from a frequency is still there: receivers are tuned, and frequencies written down, to the kHz.
const nearHz = 1000

func frequencies(s string) (low, high float64, err error) {
	from, to, isRange := strings.Cut(s, "-")
	if low, err = quantity.Hz(from); err != nil {
		return 0, 0, err
	}
	if !isRange {
		return max(0, low-nearHz), low + nearHz, nil
	}
	if high, err = quantity.Hz(to); err != nil {
		return 0, 0, err
	}
	if low > high {
		return 0, 0, errors.New("has the higher frequency first")
	}
	return low, high, nil
}

// timeOrDay reads a time, or a day, which begins then.
func timeOrDay(s string) (t time.Time, day bool, err error) {
	if t, ok := parseTime(s); ok {
		return t, false, nil
	}
	if t, err = time.Parse(time.DateOnly, strings.TrimSpace(s)); err != nil {
		return t, false, errors.New("is not a time such as 2026-11-20T06:00 or a day such as 2026-11-20")
	}
	return t, true, nil
}

const findHeader = "number  begin                 frequency      mode     receiver      SNR, dB  quality  title"

// table writes the table, or JSON.
func (o findOptions) table(ctx context.Context, a *archive.Reader, q archive.Query, out, notes io.Writer) (n int, err error) {
	for all := q.Limit == 0; ; {
		if all {
			q.Limit = 1000 // at a time
		}
		hits, err := a.Search(ctx, q)
		if err != nil {
			return n, err
		}
		for _, h := range hits {
			q.Before = h.ID // they come in the order of numbers
		}
		slices.SortStableFunc(hits, func(a, b archive.Hit) int { return b.Begun.Compare(a.Begun) })
		for _, h := range hits {
			if err := o.show(h, n == 0, out); err != nil {
				return n, err
			}
			n++
		}
		if len(hits) < q.Limit {
			return n, nil
		}
		if !all {
			fmt.Fprintf(notes, "ionoscribe: there may be more: --before %d shows what comes next, --limit 0 all\n", q.Before)
			return n, nil
		}
	}
}

func (o findOptions) show(h archive.Hit, first bool, out io.Writer) error {
	if o.json {
		b, err := json.Marshal(h)
		if err != nil {
			return err
		}
		return printLine(out, string(b))
	}
	if first {
		if err := printLine(out, findHeader); err != nil {
			return err
		}
	}
	title := fault.OneLine(h.Title)
	if h.State == archive.Arriving {
		title = strings.TrimSpace(title + " (arriving)")
	}
	if h.Favourite {
		title = strings.TrimSpace(title + " (favourite)")
	}
	line := fmt.Sprintf("%6d  %s  %13s  %-7s  %-12s  %7.1f  %7.2f  %s", h.ID, h.Begun.UTC().Format("2006-01-02T15:04:05Z"), h.Frequency(), h.Mode, fault.OneLine(h.Receiver), h.SNR, h.Quality, title)
	if err := printLine(out, strings.TrimRight(line, " ")); err != nil {
		return err
	}
	for _, l := range h.Found {
		if err := printLine(out, fmt.Sprintf("        %s  %s", l.Begun.UTC().Format("2006-01-02T15:04:05Z"), fault.OneLine(l.Text))); err != nil {
			return err
		}
	}
	return nil
}

// export writes what is found in a form. Where nothing is, no file is written.
func (o findOptions) export(ctx context.Context, a *archive.Reader, q archive.Query, out io.Writer) (n int, err error) {
	if o.as == asCharts {
		return a.ExportCharts(ctx, o.out, q)
	}
	one := q
	one.Limit = 1
	if hits, err := a.Search(ctx, one); err != nil || len(hits) == 0 {
		return 0, err
	}
	write := func(w io.Writer) error {
		n, err = a.Export(ctx, w, archive.Form(o.as), q)
		return err
	}
	if o.out != "" {
		err = chartfile.WriteFile(o.out, write)
		return n, err
	}
	err = write(outputWriter{out})
	return n, err
}

// outputWriter says of an error that it was one of the standard output.
type outputWriter struct{ io.Writer }

func (w outputWriter) Write(b []byte) (int, error) {
	n, err := w.Writer.Write(b)
	if err != nil {
		err = outputError(err)
	}
	return n, err
}

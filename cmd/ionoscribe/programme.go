package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/flags"
	"ionoscribe/internal/modes"
	"ionoscribe/internal/programme"
	"ionoscribe/internal/stationfile"
)

type programmeOptions struct {
	on   string
	json bool
	as   string
	out  string
}

// Forms in which a programme is written.
const (
	asCSV       = "csv"
	asICalendar = "ical"
	asTOML      = "toml"
)

func newProgrammeCommand() *cobra.Command {
	var o programmeOptions
	cmd := &cobra.Command{
		Use:   "programme [flags] FOLDER|FILE...",
		Short: "List what a programme expects on a day, or write it in another form",
		Long: `List what the programme of a station, the folder of which is given, or of CSV and iCalendar files expects on a day, or
write it as CSV, as iCalendar or as entries for station.toml. - is standard input, CSV or iCalendar. All times are UTC.

CSV has a row for each entry, with commas or semicolons. The first row names the columns, in any order:
  id         unique; without it, it is made of title and frequency
  title      what is transmitted
  times      such as 06:30 18:30
  days       of the week, such as Mon-Fri or Sat Sun; empty: all
  from, to   first and last day, such as 2026-11-27; empty: open
  frequency  on the air, such as 7878.1 kHz; empty: any
  mode       ` + strings.Join(names(modes.All), ", ") + `; empty: any
  receivers  names of those that may take it; empty: any
  length     such as 20 min
  early      by which it may begin before its time; empty: 2 min
  late       by which it may begin after its time; empty: 5 min
  within     from the frequency, such as 500 Hz; empty: 2 kHz
  rule       recurrence rule of RFC 5545, counted from the day from, in the place of days and to
  except     times that fall out, such as 2026-12-25T06:30Z
  also       times besides
  zone       IANA name of the time zone of times, days, from, to and rule; empty: UTC
In station.toml an entry has the same keys.

iCalendar (RFC 5545) is read with its recurrence rules; times in a zone are converted. In events of other programs, frequency
and mode are the first frequency with a unit and the first name of a mode in categories, location, summary and
description. Events in which something is wrong are told and left out.

` + statusHelp,
		Example: `  ionoscribe programme station
  ionoscribe programme --on 2026-11-27 station
  ionoscribe programme --as toml calendar.ics
  ionoscribe programme --as ical --out station.ics station`,
		Args: cobra.MinimumNArgs(1),
	}
	cmd.RunE = func(c *cobra.Command, sources []string) error {
		return o.run(sources, c.InOrStdin(), c.OutOrStdout(), time.Now().UTC())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *programmeOptions) addFlags(f *pflag.FlagSet) {
	f.StringVar(&o.on, "on", "today", "`DAY` of which what is expected is listed: today, tomorrow or such as 2026-11-27")
	f.BoolVar(&o.json, "json", false, "list it as a JSON object a line")
	f.StringVar(&o.as, "as", "", "write all entries in a `FORM` instead: csv, ical or toml")
	f.StringVarP(&o.out, "out", "o", "", "`FILE` for what --as writes (default: standard output)")
	flags.Choices(f, "as", asCSV, asICalendar, asTOML)
}

var errNothingExpected = errors.New("nothing is expected")

func (o programmeOptions) run(sources []string, in io.Reader, out io.Writer, now time.Time) error {
	day, err := dayOf(o.on, now)
	if err != nil {
		return err
	}
	write, err := o.writer(now)
	if err != nil {
		return err
	}
	if o.out != "" {
		if write == nil {
			return usageError{errors.New("--out is for --as, which says in which form; give it too")}
		}
		if err := placeFor(o.out, sources...); err != nil {
			return err
		}
	}
	entries, wrong := readEntries(sources, in)
	switch {
	case entries == nil && wrong != nil:
		return wrong
	case write == nil:
		err := o.list(out, entries, day)
		if wrong != nil && errors.Is(err, errNothingExpected) {
			return wrong // there might be more
		}
		return errors.Join(err, wrong)
	case o.out != "":
		return errors.Join(chartfile.WriteFile(o.out, func(w io.Writer) error { return write(w, entries) }), wrong)
	}
	if err := write(out, entries); err != nil {
		return outputError(err)
	}
	return wrong
}

// writer writes in the form of --as; nil if it is not given.
func (o programmeOptions) writer(now time.Time) (func(io.Writer, []programme.Entry) error, error) {
	switch o.as {
	case "":
		return nil, nil
	case asCSV:
		return programme.WriteCSV, nil
	case asICalendar:
		return func(w io.Writer, entries []programme.Entry) error { return programme.WriteICalendar(w, entries, now) }, nil
	case asTOML:
		return stationfile.WriteEntries, nil
	}
	return nil, usageError{fmt.Errorf("--as %q is none of %s, %s, %s", o.as, asCSV, asICalendar, asTOML)}
}

// readEntries reads the programme of a station, or of files.
func readEntries(sources []string, in io.Reader) ([]programme.Entry, error) {
	station := sources[0]
	if fi, err := os.Stat(station); err == nil && fi.IsDir() {
		station = filepath.Join(station, stationfile.Name)
	}
	if filepath.Ext(station) != filepath.Ext(stationfile.Name) {
		return programme.ReadFiles(sources, in, programme.Names{Modes: names(modes.All)})
	}
	if len(sources) > 1 {
		return nil, usageError{errors.New("a station is read alone; give it or files")}
	}
	c, err := stationfile.Load(station)
	if err != nil {
		return nil, stationError(err)
	}
	return c.Programme, nil
}

// list lists what is expected on a day.
func (o programmeOptions) list(out io.Writer, entries []programme.Entry, day time.Time) error {
	all := programme.Between(entries, day, day.AddDate(0, 0, 1))
	lines := programme.Table(all)
	if o.json {
		lines = nil
		for _, occurrence := range all {
			lines = append(lines, occurrence.JSON())
		}
	}
	if lines == nil {
		return fmt.Errorf("%w on %s", errNothingExpected, day.Format(time.DateOnly))
	}
	return printLine(out, strings.Join(lines, "\n"))
}

// dayOf is the beginning of a day, UTC.
func dayOf(s string, now time.Time) (time.Time, error) {
	switch today := now.Truncate(24 * time.Hour); s {
	case "today":
		return today, nil
	case "tomorrow":
		return today.AddDate(0, 0, 1), nil
	}
	day, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return day, usageError{fmt.Errorf("--on %q is not today, tomorrow or a day such as 2026-11-27", s)}
	}
	return day, nil
}

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/internal/fault"
	"ionoscribe/internal/rehearsal"
)

type gradeWatchOptions struct {
	rehearsal.Plan
	json bool
	out  string
}

func newGradeWatchCommand() *cobra.Command {
	var o gradeWatchOptions
	cmd := &cobra.Command{
		Use:   "watch",
		Short: "Grade how well a station keeps what it hears",
		Long: `Have a station with three receivers keep watch over invented days, of which the quiet hours are left out, and compare
its archive with what was sent: whether each broadcast of the programme is filed under its title, whether those that
were not sent are known as missed, whether database and files agree, and whether the program grows. Charts are kept
for 20 days, their videos for 2.

` + statusHelp,
		Example: "  ionoscribe grade watch --days 30 --a-day 22",
		Args:    cobra.NoArgs,
	}
	cmd.RunE = func(c *cobra.Command, _ []string) error { return o.run(c.Context(), c.OutOrStdout()) }
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *gradeWatchOptions) addFlags(f *pflag.FlagSet) {
	f.IntVar(&o.Days, "days", 2, "`NUMBER` of days, 1 to 400")
	f.IntVar(&o.A, "a-day", 22, "`NUMBER` of broadcasts a day that each receiver hears, 1 to 100")
	f.Uint64Var(&o.Seed, "seed", 1, "`NUMBER` that everything random follows from")
	f.BoolVar(&o.json, "json", false, "write a JSON object instead of the table")
	f.StringVarP(&o.out, "out", "o", "", "`FOLDER` for the station (default: one that is removed at the end)")
}

func (o gradeWatchOptions) run(ctx context.Context, out io.Writer) error {
	switch {
	case o.Days < 1 || o.Days > 400:
		return usageError{fmt.Errorf("--days %d is not within 1 and 400", o.Days)}
	case o.A < 1 || o.A > 100:
		return usageError{fmt.Errorf("--a-day %d is not within 1 and 100", o.A)}
	}
	dir := o.out
	var err error
	if dir == "" {
		if dir, err = os.MkdirTemp("", "station"); err == nil {
			defer os.RemoveAll(dir)
		}
	} else {
		err = os.MkdirAll(dir, 0o777)
	}
	if err != nil {
		return &fault.Error{Op: "make", Path: dir, Err: fault.Cause(err), Mend: "check its folder"}
	}
	res, err := o.Plan.Run(ctx, dir, slog.New(slog.DiscardHandler))
	if err != nil {
		return err
	}
	if ctx.Err() != nil {
		return errInterrupted
	}
	if o.json {
		b, err := json.Marshal(res)
		return errors.Join(err, printLine(out, string(b)))
	}
	lines := []string{res.String()}
	lines = append(lines, res.Wrong...)
	for _, p := range res.Problems {
		lines = append(lines, p.What)
	}
	return printLine(out, strings.Join(lines, "\n"))
}

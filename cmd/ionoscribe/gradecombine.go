package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/internal/flags"
	"ionoscribe/internal/grade"
)

type gradeCombineOptions struct {
	gradeOptions
	lines  int
	trials int
}

func newGradeCombineCommand() *cobra.Command {
	var o gradeCombineOptions
	cmd := &cobra.Command{
		Use:   "combine",
		Short: "Grade charts that are drawn of two copies",
		Long: `Send an invented chart to two receivers whose noise, fading, clocks and tuning have nothing to do with each
other, combine what they drew, and compare with what was sent. All cores work; the table is the same on any
number of them.

  one copy      fidelity of what one receiver drew
  two           fidelity of the chart that is drawn of both copies
  one stronger  fidelity of one copy that is 2.7 dB stronger, through fading 6 dB
  with a weaker one more
                what a second copy adds that is 10 dB weaker
  not joined    pairs of copies that were taken for two charts
  others joined pairs of different charts that were taken for copies of one

` + statusHelp,
		Example: "  ionoscribe grade combine --snr 0,6\n  ionoscribe grade combine --snr 10 --channel mid-moderate --trials 12",
		Args:    cobra.NoArgs,
	}
	cmd.RunE = func(c *cobra.Command, _ []string) error {
		return runGradeCombine(c.Context(), o, c.OutOrStdout(), c.ErrOrStderr())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *gradeCombineOptions) addFlags(f *pflag.FlagSet) {
	f.StringVar(&o.snr, "snr", "10,6,3,0", "`DB` of signal over noise in 2500 Hz: FROM:TO:STEP or a list with commas")
	f.StringVar(&o.channel, "channel", grade.NoChannel, "`NAME` of the way through the ionosphere: "+strings.Join(channelNames(), ", "))
	flags.Choices(f, "channel", channelNames()...)
	f.IntVar(&o.lines, "lines", 300, "`NUMBER` of lines of the charts, 100 to 2000")
	f.IntVar(&o.trials, "trials", 6, "`NUMBER` of trials at each ratio, 1 to 1000")
	f.Uint64Var(&o.seed, "seed", 1, "`NUMBER` that everything random follows from")
	f.BoolVar(&o.json, "json", false, "write a JSON object a line for each trial instead of the table")
}

func runGradeCombine(ctx context.Context, o gradeCombineOptions, out, errs io.Writer) error {
	snrs, channel, err := o.check()
	switch {
	case err != nil:
		return err
	case o.lines < 100 || o.lines > 2000:
		return usageError{fmt.Errorf("--lines %d is not within 100 and 2000", o.lines)}
	case o.trials < 1 || o.trials > 1000:
		return usageError{fmt.Errorf("--trials %d is not within 1 and 1000", o.trials)}
	}
	ctx, run := o.begin(ctx, len(snrs)*o.trials, out, errs)
	run.table(grade.CombineHeader)
	var row grade.CombineRow
	err = grade.CombineGrades{SNRs: snrs, Channel: channel, Lines: o.lines, Trials: o.trials, Seed: o.seed}.Run(ctx, func(g grade.CombineGrade) {
		run.trial(g)
		if row = append(row, g); len(row) == o.trials {
			run.table(row.String())
			row = nil
		}
	})
	return run.end(err, nil)
}

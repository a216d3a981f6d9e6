package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/internal/modes"
	"ionoscribe/internal/scenes"
)

type gradeSurveyOptions struct {
	scenes int
	seed   uint64
	json   bool
}

func newGradeSurveyCommand() *cobra.Command {
	var o gradeSurveyOptions
	cmd := &cobra.Command{
		Use:   "survey",
		Short: "Grade how well the transmissions in a passband are found",
		Long: `Invent scenes of two to four minutes of audio with one to six transmissions (fax, ` + strings.Join(titles(modesThat(printsText)), ", ") + `, carrier) from
0 to 30 dB, half of them through one of six fading channels, with speech, static or nothing between two groups
of them; survey each, and compare. All cores work; the table is the same on any number of them.

  kind right   share of the signals that were found as what they are
  frequency, beginning, end
               share for which these are right too, within 5 Hz and 2 s
  all right    share for which all are
  told after   seconds from the beginning of a signal until it was reported, median

Below are the findings of nothing that was sent, those of speech and static as "other" apart, and the signals
that were found in more than one part.

` + statusHelp,
		Example: "  ionoscribe grade survey --scenes 300\n  ionoscribe grade survey --seed 7 --json",
		Args:    cobra.NoArgs,
	}
	cmd.RunE = func(c *cobra.Command, _ []string) error {
		return runGradeSurvey(c.Context(), o, c.OutOrStdout(), c.ErrOrStderr())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *gradeSurveyOptions) addFlags(f *pflag.FlagSet) {
	f.IntVar(&o.scenes, "scenes", 30, "`NUMBER` of scenes, 1 to 100000")
	f.Uint64Var(&o.seed, "seed", 1, "`NUMBER` that everything random follows from")
	f.BoolVar(&o.json, "json", false, "write a JSON object a line for each scene instead of the table")
}

func runGradeSurvey(ctx context.Context, o gradeSurveyOptions, out, errs io.Writer) error {
	if o.scenes < 1 || o.scenes > 100000 {
		return usageError{fmt.Errorf("--scenes %d is not within 1 and 100000", o.scenes)}
	}
	ctx, run := gradeOptions{json: o.json}.begin(ctx, o.scenes, out, errs)
	var table scenes.Table
	err := scenes.Grades{Modes: modes.All, Scenes: o.scenes, Seed: o.seed}.Run(ctx, func(g scenes.Grade) {
		run.trial(g)
		table = append(table, g)
	})
	if err == nil {
		run.table(scenes.Header)
		for _, line := range table.Lines(modes.All) {
			run.table(line)
		}
	}
	return run.end(err, nil)
}

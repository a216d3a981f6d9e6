package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/internal/grade"
)

type gradeStudyOptions struct {
	trials int
	seed   uint64
	json   bool
}

func newGradeStudyCommand() *cobra.Command {
	var o gradeStudyOptions
	var list strings.Builder
	for _, s := range grade.Studies() {
		fmt.Fprintf(&list, "  %-16s %s\n", s.Name, s.Title)
	}
	cmd := &cobra.Command{
		Use:   "study NAME",
		Short: "Study one class of signals that others send",
		Long: `Invent signals of one class, receive each, and count what was received as it should be. All cores work; the table
is the same on any number of them.

` + list.String() + `
  right      share of the trials whose result is right
  sure       share that the decoder called sure, where it can tell
  median, 95 %, worst
             of the study's figure, without its sign

` + statusHelp,
		Example: "  ionoscribe grade study fax-polarity --trials 40\n  ionoscribe grade study fax-polarity --seed 7 --json",
		Args:    cobra.ExactArgs(1),
	}
	cmd.RunE = func(c *cobra.Command, args []string) error {
		return runGradeStudy(c.Context(), o, args[0], c.OutOrStdout(), c.ErrOrStderr())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *gradeStudyOptions) addFlags(f *pflag.FlagSet) {
	f.IntVar(&o.trials, "trials", 0, "`NUMBER` of trials, up to 100000; 0: as many as the study usually has")
	f.Uint64Var(&o.seed, "seed", 1, "`NUMBER` that everything random follows from")
	f.BoolVar(&o.json, "json", false, "write a JSON object a line for each trial instead of the table")
}

func runGradeStudy(ctx context.Context, o gradeStudyOptions, name string, out, errs io.Writer) error {
	study, err := findStudy(name)
	if err != nil {
		return usageError{err}
	}
	if o.trials < 0 || o.trials > 100000 {
		return usageError{fmt.Errorf("--trials %d is not within 0 and 100000", o.trials)}
	}
	if o.trials == 0 {
		o.trials = study.Trials
	}
	ctx, run := gradeOptions{json: o.json}.begin(ctx, o.trials, out, errs)
	var rows grade.StudyRows
	err = study.Run(ctx, o.trials, o.seed, func(t grade.StudyTrial) {
		run.trial(t)
		rows = append(rows, t)
	})
	if err == nil {
		for _, line := range rows.Lines(study.Unit) {
			run.table(line)
		}
	}
	return run.end(err, nil)
}

func findStudy(name string) (grade.Study, error) {
	var names []string
	for _, s := range grade.Studies() {
		if s.Name == name {
			return s, nil
		}
		names = append(names, s.Name)
	}
	return grade.Study{}, fmt.Errorf("there is no study %s; there are %s", name, strings.Join(names, ", "))
}

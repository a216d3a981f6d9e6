package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/internal/grade"
	"ionoscribe/internal/mode"
)

type gradeTextOptions struct {
	gradeOptions
	characters int
	length     int
	noise      float64
}

// newGradeTextCommand grades a mode that prints text.
func newGradeTextCommand(m *mode.Mode) *cobra.Command {
	var o gradeTextOptions
	grader := m.Text.Grade()
	own := pflag.NewFlagSet("", pflag.ContinueOnError)
	grader.AddFlags(own)
	usual, err := grader.Mode()
	if err != nil {
		panic(m.Name + ": " + err.Error()) // the defaults are ours
	}
	cmd := &cobra.Command{
		Use:   m.Name,
		Short: "Grade the reception of " + usual.Title + " at a range of signal-to-noise ratios",
		Long: "Send invented messages as " + usual.Title + ` through noise, receive them with nothing ordered, and compare. All
cores work; the table is the same on any number of them.

  errors       least number of characters to replace, add or remove that makes what was received of what
               was sent, over what was sent (a message counts with no more errors than it has characters)
  from, to     95 % confidence interval of the errors, which heeds that they come in bursts: messages are
               the sample
  replaced, added, lost
               characters received wrongly, received but not sent, and sent but not received
  first right  seconds from the beginning of the message to the first character received rightly, median
  confidence   by how much the confidences of the characters are wrong: mean difference between them and
               the share of right characters, in classes; the table below has the classes

The columns behind these are what receivers on paper reach that know everything but the message. In the plot a
hollow mark is a measurement without an error, drawn at the upper end of its interval.

` + channelHelp + `

` + statusHelp,
		Example: fmt.Sprintf("  ionoscribe grade %s --characters 20000\n  ionoscribe grade %[1]s --channel mid-moderate --plot errors.svg", m.Name),
		Args:    cobra.NoArgs,
	}
	cmd.RunE = func(c *cobra.Command, _ []string) error {
		chosen, err := grader.Mode()
		if err != nil {
			return usageError{err}
		}
		return runGradeText(c.Context(), chosen, o, c.OutOrStdout(), c.ErrOrStderr())
	}
	help := grader.Help()
	if help.Long != "" {
		cmd.Long += "\n\n" + help.Long
	}
	if help.Example != "" {
		cmd.Example += "\n" + help.Example
	}
	o.addFlags(cmd.Flags(), grader.SNRs())
	cmd.Flags().AddFlagSet(own)
	return cmd
}

func (o *gradeTextOptions) addFlags(f *pflag.FlagSet, snr string) {
	o.gradeOptions.addFlags(f, snr)
	f.IntVar(&o.characters, "characters", 3000, "`NUMBER` of characters to send at each ratio, at least, up to 10000000")
	f.IntVar(&o.length, "length", 300, "`NUMBER` of characters of a message, 1 to 5000")
	f.Float64Var(&o.noise, "noise", 10, "`MINUTES` of pure noise to listen to, up to 10000")
}

func (o gradeTextOptions) plan(mode grade.TextMode) (grade.TextGrades, error) {
	snrs, channel, err := o.check()
	recording, wrong := o.recorder()
	switch {
	case err != nil:
		return grade.TextGrades{}, err
	case wrong != nil:
		return grade.TextGrades{}, wrong
	case o.length < 1 || o.length > 5000:
		return grade.TextGrades{}, usageError{fmt.Errorf("--length %d is not within 1 and 5000", o.length)}
	case o.characters < 1 || o.characters > 1e7:
		return grade.TextGrades{}, usageError{fmt.Errorf("--characters %d is not within 1 and 10000000", o.characters)}
	case !(o.noise >= 0 && o.noise <= 10000):
		return grade.TextGrades{}, usageError{fmt.Errorf("--noise %g is not within 0 and 10000", o.noise)}
	}
	return grade.TextGrades{Mode: mode, SNRs: snrs, Channel: channel, Characters: o.characters, Length: o.length, Seed: o.seed, Recording: recording}, nil
}

func runGradeText(ctx context.Context, mode grade.TextMode, o gradeTextOptions, out, errs io.Writer) error {
	plan, err := o.plan(mode)
	if err != nil {
		return err
	}
	ctx, run := o.begin(ctx, len(plan.SNRs)*plan.Trials()+grade.NoiseTrials(o.noise), out, errs)
	curves := plan.Theory()
	run.table(grade.TextHeader(curves))
	var rows []grade.TextRow
	var row grade.TextRow
	var all grade.Calibration
	err = plan.Run(ctx, func(g grade.TextGrade) {
		run.trial(g)
		all.Add(g.Calibration)
		if row = append(row, g); len(row) == plan.Trials() {
			run.table(row.Line(curves))
			rows, row = append(rows, row), nil
		}
	})
	var noise grade.NoiseRow
	if err == nil {
		err = plan.RunNoise(ctx, o.noise, func(g grade.NoiseGrade) {
			run.trial(g)
			noise = append(noise, g)
		})
	}
	if err == nil {
		for _, part := range []string{all.String(), noise.String()} {
			if part != "" {
				run.table("\n" + part)
			}
		}
	}
	return run.end(err, func() grade.Plot { return grade.TextPlot(mode, plan.Channel, rows, curves) })
}

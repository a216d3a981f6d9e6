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

type gradeFaxOptions struct {
	gradeOptions
	lines  int
	trials int
	ocr    bool
	video  string
}

func newGradeFaxCommand(m *mode.Mode) *cobra.Command {
	var o gradeFaxOptions
	cmd := &cobra.Command{
		Use:   m.Name,
		Short: "Grade the reception of charts at a range of signal-to-noise ratios",
		Long: `Send a dense chart and a page of lettering as ` + m.Title + ` through noise, with a random clock error (up to
±200 ppm) and tuning error (up to ±100 Hz), receive them with nothing ordered, and compare. All cores
work; the table is the same on any number of them.

  fidelity     -10 log10(1-r²), r being the correlation of the received and the sent picture; a blank
               page has 0 dB
  textbook     fidelity of a receiver as textbooks draw it (filter, discriminator, filter), which is told
               tuning, clock and line timing; gain is by how much the decoder surpasses it
  PSNR         peak signal-to-noise ratio of the picture
  SSIM         structural similarity (Wang and others, 2004); paper that stayed white counts as similar
  clock error  slant that is left from the first line to the last
  line start   by how much the lines begin early or late in the middle of the chart
  missed       charts of which less than nine tenths were received in one piece; the means leave them out
  split        charts of which more than one piece was received
  strokes      groups of three or more dark pixels, away from anything that was sent, a chart
  misread      with --ocr: characters of the page that tesseract reads wrongly, in the picture doubled in
               size: edit distance over length; beside it those of the textbook receiver's picture

` + channelHelp + `

` + statusHelp,
		Example: `  ionoscribe grade fax --lines 400
  ionoscribe grade fax --snr 6:-3:1 --trials 10 --json
  ionoscribe grade fax --channel mid-moderate --plot fidelity.svg`,
		Args: cobra.NoArgs,
	}
	cmd.RunE = func(c *cobra.Command, _ []string) error {
		return runGradeFax(c.Context(), o, c.OutOrStdout(), c.ErrOrStderr())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *gradeFaxOptions) addFlags(f *pflag.FlagSet) {
	o.gradeOptions.addFlags(f, "10,6,3,0,-3")
	f.IntVar(&o.lines, "lines", 1200, "`NUMBER` of lines of the pictures, 100 to 2000")
	f.IntVar(&o.trials, "trials", 3, "`NUMBER` of trials of each picture at each ratio, 1 to 1000")
	f.StringVar(&o.video, "video-filter", "", videoFilterUsage)
	f.BoolVar(&o.ocr, "ocr", false, "have the pages of lettering read by tesseract")
}

func (o gradeFaxOptions) plan() (grade.FaxGrades, error) {
	snrs, channel, err := o.check()
	if err != nil {
		return grade.FaxGrades{}, err
	}
	video, err := videoFilter(o.video)
	recording, wrong := o.recorder()
	switch {
	case err != nil:
		return grade.FaxGrades{}, err
	case wrong != nil:
		return grade.FaxGrades{}, wrong
	case o.lines < 100 || o.lines > 2000:
		return grade.FaxGrades{}, usageError{fmt.Errorf("--lines %d is not within 100 and 2000", o.lines)}
	case o.trials < 1 || o.trials > 1000:
		return grade.FaxGrades{}, usageError{fmt.Errorf("--trials %d is not within 1 and 1000", o.trials)}
	}
	return grade.FaxGrades{SNRs: snrs, Channel: channel, Video: video, Lines: o.lines, Trials: o.trials, Seed: o.seed, Read: o.ocr, Recording: recording}, nil
}

func runGradeFax(ctx context.Context, o gradeFaxOptions, out, errs io.Writer) error {
	plan, err := o.plan()
	if err != nil {
		return err
	}
	if plan.Read {
		if err := grade.FindReader(); err != nil {
			fmt.Fprintf(errs, "ionoscribe: %v: the table comes without misread characters\n", err)
			plan.Read = false
		}
	}
	ctx, run := o.begin(ctx, 2*len(plan.SNRs)*plan.Trials, out, errs) // of two pictures
	run.table(grade.FaxHeader(plan.Read))
	var rows []grade.FaxRow
	var row grade.FaxRow
	err = plan.Run(ctx, func(g grade.FaxGrade) {
		run.trial(g)
		if row = append(row, g); len(row) == plan.Trials {
			run.table(row.String())
			rows, row = append(rows, row), nil
		}
	})
	return run.end(err, func() grade.Plot { return grade.FaxPlot(plan.Channel, rows) })
}

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/internal/grade"
)

func newGradeCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "grade",
		Short: "Measure how good the decoders are",
		Long:  "Measure how good the decoders are: send, spoil, receive and compare with what was sent.",
		Args:  cobra.NoArgs,
		RunE:  func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	cmd.AddCommand(newGradeFaxCommand())
	return cmd
}

type gradeFaxOptions struct {
	snr    string
	lines  int
	trials int
	seed   uint64
	ocr    bool
	json   bool
}

func newGradeFaxCommand() *cobra.Command {
	var o gradeFaxOptions
	cmd := &cobra.Command{
		Use:   "fax",
		Short: "Grade the reception of charts at a range of signal-to-noise ratios",
		Long: `Send a dense chart and a page of lettering as radiofax through noise, with a random clock error (up to
±200 ppm) and tuning error (up to ±100 Hz), receive them with nothing ordered, and compare. All cores
work; the table is the same on any number of them.

  fidelity     -10 log10(1-r²), r being the correlation of the received and the sent picture; a blank
               page has 0 dB
  textbook     fidelity of a receiver as textbooks draw it (filter, discriminator, filter), which is told
               tuning, clock and line timing; gain is by how much the decoder surpasses it
  PSNR         peak signal-to-noise ratio of the picture
  clock error  slant that is left from the first line to the last
  line start   by how much the lines begin early or late in the middle of the chart
  missed       charts of which less than nine tenths were received; the means leave them out
  strokes      groups of three or more dark pixels, away from anything that was sent, a chart
  misread      with --ocr: characters of the page that tesseract reads wrongly, in the picture doubled in
               size: edit distance over length; beside it those of the textbook receiver's picture

` + statusHelp,
		Example: `  ionoscribe grade fax --lines 400
  ionoscribe grade fax --snr 6:-3:1 --trials 10 --json`,
		Args: cobra.NoArgs,
	}
	cmd.RunE = func(c *cobra.Command, _ []string) error {
		return runGradeFax(c.Context(), o, c.OutOrStdout(), c.ErrOrStderr())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *gradeFaxOptions) addFlags(f *pflag.FlagSet) {
	f.StringVar(&o.snr, "snr", "10,6,3,0,-3", "`DB` of signal over noise in 2500 Hz: FROM:TO:STEP or a list with commas")
	f.IntVar(&o.lines, "lines", 1200, "`NUMBER` of lines of the pictures, 100 to 2000")
	f.IntVar(&o.trials, "trials", 3, "`NUMBER` of trials of each picture at each ratio, 1 to 1000")
	f.Uint64Var(&o.seed, "seed", 1, "`NUMBER` that everything random follows from")
	f.BoolVar(&o.ocr, "ocr", false, "have the pages of lettering read by tesseract")
	f.BoolVar(&o.json, "json", false, "write a JSON object a line for each trial instead of the table")
}

func (o gradeFaxOptions) plan() (grade.FaxGrades, error) {
	snrs, err := parseSNRs(o.snr)
	switch {
	case err != nil:
		return grade.FaxGrades{}, usageError{fmt.Errorf("--snr %s: %w", o.snr, err)}
	case o.lines < 100 || o.lines > 2000:
		return grade.FaxGrades{}, usageError{fmt.Errorf("--lines %d is not within 100 and 2000", o.lines)}
	case o.trials < 1 || o.trials > 1000:
		return grade.FaxGrades{}, usageError{fmt.Errorf("--trials %d is not within 1 and 1000", o.trials)}
	}
	return grade.FaxGrades{SNRs: snrs, Lines: o.lines, Trials: o.trials, Seed: o.seed, Read: o.ocr}, nil
}

// parseSNRs reads FROM:TO:STEP, with STEP of either sign, or a list with commas.
func parseSNRs(s string) ([]float64, error) {
	const least, most, count = -30, 60, 200
	list := strings.Contains(s, ",") || !strings.Contains(s, ":")
	words := strings.Split(s, ":")
	if list {
		words = strings.Split(s, ",")
	}
	var v []float64
	for _, w := range words {
		x, err := strconv.ParseFloat(strings.TrimSpace(w), 64)
		if err != nil || !(x >= least && x <= most) {
			return nil, fmt.Errorf("%q is no number from %d to %d", w, least, most)
		}
		v = append(v, x)
	}
	if list {
		return v, nil
	}
	if len(v) != 3 {
		return nil, errors.New("a range is FROM:TO:STEP")
	}
	from, to, step := v[0], v[1], max(v[2], -v[2])
	if !(step > 0 && max(to-from, from-to)/step < count) {
		return nil, fmt.Errorf("the step must be such that there are at most %d values", count)
	}
	n := int(max(to-from, from-to)/step + 1e-9)
	if to < from {
		step = -step
	}
	v = nil
	for i := 0; i <= n; i++ {
		v = append(v, from+float64(i)*step)
	}
	return v, nil
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
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	p := newProgress(errs)
	p.begin("trials", int64(2*len(plan.SNRs)*plan.Trials), 1) // of two pictures
	p.doing = "sending and receiving"
	p.add(0)
	defer p.clear()

	var failed error // of standard output
	write := func(line string) {
		p.clear()
		if failed == nil {
			failed = printLine(out, line)
		}
		if failed != nil {
			cancel()
		}
	}
	if !o.json {
		write(grade.FaxHeader(plan.Read))
	}
	var row grade.FaxRow
	err = plan.Run(ctx, func(g grade.FaxGrade) {
		if o.json {
			line, err := json.Marshal(g)
			if err != nil {
				failed = err
			}
			write(string(line))
		} else if row = append(row, g); len(row) == plan.Trials {
			write(row.String())
			row = nil
		}
		p.add(1)
	})
	switch {
	case failed != nil:
		return failed
	case errors.Is(err, context.Canceled):
		return errInterrupted
	}
	return err
}

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/flags"
	"ionoscribe/internal/grade"
	"ionoscribe/samples"
)

// gradeOptions are those of every mode.
type gradeOptions struct {
	snr       string
	channel   string
	seed      uint64
	json      bool
	plot      string
	recording string
}

func (o *gradeOptions) addFlags(f *pflag.FlagSet, snr string) {
	f.StringVar(&o.snr, "snr", snr, "`DB` of signal over noise in 2500 Hz: FROM:TO:STEP or a list with commas")
	f.StringVar(&o.channel, "channel", grade.NoChannel, "`NAME` of the way through the ionosphere: "+strings.Join(channelNames(), ", "))
	flags.Choices(f, "channel", channelNames()...)
	f.Uint64Var(&o.seed, "seed", 1, "`NUMBER` that everything random follows from")
	f.BoolVar(&o.json, "json", false, "write a JSON object a line for each trial instead of the table")
	f.StringVar(&o.recording, "recording", grade.NoRecording, "`FORMAT-KBIT` of a lossy recording on the way: mp3-64, opus-24, vorbis-64 and so on, made by ffmpeg")
	f.StringVar(&o.plot, "plot", "", "draw the figures into `FILE`, whose name ends in .png or .svg")
}

// channelHelp is for the help of every mode.
const channelHelp = `Channels but "none", which is white noise alone, are those of Recommendation ITU-R F.1487: two paths
that fade independently. The noise is as strong as without fading.`

func (o gradeOptions) check() (snrs []float64, c *samples.Channel, err error) {
	if snrs, err = parseSNRs(o.snr); err != nil {
		return nil, nil, usageError{fmt.Errorf("--snr %s: %w", o.snr, err)}
	}
	if c, err = grade.FindChannel(o.channel); err != nil {
		return nil, nil, usageError{fmt.Errorf("--channel: %w", err)}
	}
	if o.plot == "" {
		return snrs, c, nil
	}
	if grade.PlotFormat(o.plot) == "" {
		return nil, nil, usageError{fmt.Errorf("--plot %s: the name ends neither in .png nor in .svg", o.plot)}
	}
	// Better now than after an hour of trials.
	return snrs, c, placeFor(o.plot)
}

// recorder is the recording on the way.
func (o gradeOptions) recorder() (*grade.Recording, error) {
	r, err := grade.FindRecording(o.recording)
	if err != nil {
		return nil, usageError{fmt.Errorf("--recording: %w", err)}
	}
	return r, nil
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

// grading runs the trials of a plan and writes what they reach.
type grading struct {
	gradeOptions
	out      io.Writer
	progress *progress
	cancel   context.CancelFunc // ends the trials
	failed   error              // of standard output
}

// begin prepares for so many trials; end must be called.
func (o gradeOptions) begin(ctx context.Context, trials int, out, errs io.Writer) (context.Context, *grading) {
	ctx, cancel := context.WithCancel(ctx)
	g := &grading{gradeOptions: o, out: out, progress: newProgress(errs), cancel: cancel}
	g.progress.begin("trials", int64(trials), 1)
	g.progress.doing = "sending and receiving"
	g.progress.add(0)
	return ctx, g
}

func (g *grading) write(line string) {
	g.progress.clear()
	if g.failed == nil {
		g.failed = printLine(g.out, line)
	}
	if g.failed != nil {
		g.cancel()
	}
}

// trial counts a trial and, if JSON is wanted, writes it.
func (g *grading) trial(v any) {
	if g.json {
		line, err := json.Marshal(v)
		if err != nil && g.failed == nil {
			g.failed = err
		}
		g.write(string(line))
	}
	g.progress.add(1)
}

// table writes a line of the table, if it is wanted.
func (g *grading) table(line string) {
	if !g.json {
		g.write(line)
	}
}

// end cleans up after the trials ended with err, and draws their plot if there was none.
func (g *grading) end(err error, plot func() grade.Plot) error {
	g.progress.clear()
	g.cancel()
	switch {
	case g.failed != nil:
		return g.failed
	case errors.Is(err, context.Canceled):
		return errInterrupted
	case err != nil || g.plot == "":
		return err
	}
	return chartfile.WriteFile(g.plot, func(w io.Writer) error { return plot().Write(w, grade.PlotFormat(g.plot)) })
}

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/fault"
	"ionoscribe/internal/filing"
	"ionoscribe/internal/flags"
	"ionoscribe/internal/mode"
)

type faxOptions struct {
	sourceOptions
	receiveOptions
	out     string
	json    bool
	noVideo bool
}

func newFaxCommand(m *mode.Mode) *cobra.Command {
	var o faxOptions
	cmd := &cobra.Command{
		Use:   m.Name + " [flags] SOURCE...",
		Short: "Receive weather charts",
		Long: `Receive weather charts (` + m.Title + `) from recordings or from what a pipe brings.

` + sourceHelp + ` With --iq it is complex, and --tune listens in it. A source may carry settings of its own: night.wav?channel=right&dial=4610kHz. Each chart is saved as a PNG named after its start in UTC, its lines a minute and its index
of cooperation (_2 follows if that name is taken), with its video beside it for "ionoscribe redraw".
Standard output gets a line a chart. The video of a chart that is coming in grows in a file named arriving; if the
program is killed meanwhile, the next start saves what had come.

Received charts are not for navigation: check official sources. Whether and what you may receive and
pass on differs by country.

` + statusHelp,
		Example: `  ionoscribe fax --out charts recording.wav
  arecord -f S16_LE -r 12000 -t wav | ionoscribe fax -`,
		Args: cobra.MinimumNArgs(1),
	}
	cmd.RunE = func(c *cobra.Command, sources []string) error {
		if listsDevices(sources) {
			return printDevices(c.OutOrStdout())
		}
		o.notes = c.ErrOrStderr()
		return runFax(c.Context(), o, sources, c.InOrStdin(), c.OutOrStdout(), newProgress(c.ErrOrStderr()))
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *faxOptions) addFlags(f *pflag.FlagSet) {
	flags.Under(flags.WhereTo, f, func(f *pflag.FlagSet) {
		f.StringVarP(&o.out, "out", "o", "charts", "`FOLDER` for the charts")
		f.BoolVar(&o.json, "json", false, "write a JSON object a line for each chart instead of its path")
		f.BoolVar(&o.noVideo, "no-video", false, "keep the picture only")
	})
	o.sourceOptions.addFlags(f)
	o.receiveOptions.addFlags(f)
}

func runFax(ctx context.Context, o faxOptions, sources []string, in io.Reader, out io.Writer, p *progress) error {
	if err := o.checkSources(sources); err != nil {
		return err
	}
	own, err := o.openAll(sources, in)
	if err != nil {
		return err
	}
	c, err := o.config()
	if err != nil {
		return err
	}
	undo, err := chartfile.Prepare(o.out)
	if err != nil {
		return err
	}
	defer undo()
	s := saver{faxOptions: o, w: out}
	keeper := filing.NewCharts(o.out, o.noVideo, newTrouble(o.notes, p))
	adopted := keeper.Adopt(pathsOf(own), func(a chartfile.Adopted) { s.report(a.Source, a.Chart, a.Picture, a.Video) })
	r := receiver{config: c, progress: p, keeper: keeper, chart: s.report}
	err = r.receiveAll(ctx, sources, own)
	return errors.Join(adopted, err, keeper.Close(), s.err)
}

// saver reports the charts that are saved.
type saver struct {
	faxOptions
	w   io.Writer // nil after an error
	err error
}

// report is the JSON object of a chart.
type report struct {
	Source      string  `json:"source"`
	Picture     string  `json:"picture"`
	Video       string  `json:"video,omitempty"`
	MeanQuality float64 `json:"mean_quality"`
	chartfile.Info
}

func (s *saver) report(source string, c *chartfile.Chart, picture, video string) {
	if s.w == nil {
		return
	}
	line := []byte(picture)
	if s.json {
		var err error
		if line, err = json.Marshal(report{source, picture, video, math.Round(c.Quality.Mean()*1000) / 1000, c.Info}); err != nil {
			s.err = err // cannot be: all numbers are finite
			return
		}
	}
	if _, err := s.w.Write(append(line, '\n')); err != nil {
		s.w = nil
		s.err = fmt.Errorf("write standard output: %w; the charts are in %s all the same", fault.Cause(err), s.out)
	}
}

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/fax"
	"ionoscribe/internal/chartfile"
)

type redrawOptions struct {
	chartfile.Changes
	clock, tuning, black, white float64
	out                         string
}

func newRedrawCommand() *cobra.Command {
	var o redrawOptions
	cmd := &cobra.Command{
		Use:   "redraw [flags] CHART",
		Short: "Draw a received chart again with other settings",
		Long: `Draw a received chart again from the video that is kept beside it: move its edge, straighten it,
swap black and white, change its levels. CHART is the .png or the .video of the chart. What no flag
changes stays as it was received. The new picture's path goes to standard output.

` + statusHelp,
		Example: `  ionoscribe redraw --line-start 120 charts/20260304T121500Z-120-576.png`,
		Args:    cobra.ExactArgs(1),
	}
	cmd.RunE = func(c *cobra.Command, args []string) error {
		o.order(c.Flags())
		return runRedraw(c.Context(), o, args[0], c.OutOrStdout())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *redrawOptions) addFlags(f *pflag.FlagSet) {
	f.StringVarP(&o.out, "out", "o", "", "`FILE` to draw (default: the chart's name with -redrawn)")
	f.Float64Var(&o.Shift, "line-start", 0, "`PIXELS` by which lines begin later: the picture moves to the left")
	f.Float64Var(&o.clock, "clock-error", 0, "`PPM`: error of the recording's sample clock; a larger one leans the picture to the left")
	f.Float64Var(&o.LPM, "lpm", 0, "`LINES` a minute: 60, 90, 120 or 240")
	f.IntVar(&o.IOC, "ioc", 0, "`INDEX` of cooperation, 576 or 288")
	f.Float64Var(&o.DeviationHz, "deviation", 0, "`Hz` from the middle frequency to black and to white")
	f.Float64Var(&o.tuning, "tuning", 0, "`Hz` by which the signal was too high")
	f.BoolVar(&o.Invert, "invert", false, "swap black and white")
	f.Float64Var(&o.black, "black", 0, "`BRIGHTNESS`, 0 to 1, that is drawn black")
	f.Float64Var(&o.white, "white", 1, "`BRIGHTNESS`, 0 to 1, that is drawn white")
	f.BoolVar(&o.Plain, "no-restore", false, "draw what was received, without cleaning it of noise")
}

// order notes which flags were given.
func (o *redrawOptions) order(f *pflag.FlagSet) {
	for _, x := range []struct {
		name  string
		value *float64
		to    **float64
	}{{"clock-error", &o.clock, &o.ClockPPM}, {"tuning", &o.tuning, &o.TuningHz}, {"black", &o.black, &o.Black}, {"white", &o.white, &o.White}} {
		if f.Changed(x.name) {
			*x.to = x.value
		}
	}
}

func runRedraw(ctx context.Context, o redrawOptions, path string, out io.Writer) error {
	if o.IOC != 0 && o.IOC != 576 && o.IOC != 288 {
		return usageError{fmt.Errorf("--ioc %d is neither 576 nor 288", o.IOC)}
	}
	if o.LPM != 0 && !isLineRate(o.LPM) {
		return usageError{fmt.Errorf("--lpm %v is none of 60, 90, 120, 240", o.LPM)}
	}
	if o.out == "" {
		o.out = strings.TrimSuffix(path, filepath.Ext(path)) + "-redrawn" + chartfile.PictureSuffix
	}
	read := []string{chartfile.VideoPath(path)} // the picture may be drawn anew
	if filepath.Ext(path) != chartfile.PictureSuffix {
		read = append(read, path)
	}
	if err := errors.Join(notOnto(o.out, read...), chartfile.PrepareFile(o.out)); err != nil {
		return err
	}
	r, err := interruptible(ctx, func() (redrawing, error) { return redrawn(path, o.Changes) })
	if err != nil {
		return err
	}
	err = chartfile.WriteFile(o.out, func(w io.Writer) error { return chartfile.EncodePNG(w, r.Image, r.Info) })
	if err != nil {
		return err
	}
	return errors.Join(r.early, printLine(out, o.out))
}

// redrawing is a chart that is drawn again; early tells that not all of it is there.
type redrawing struct {
	*chartfile.Chart
	early error
}

func redrawn(path string, changes chartfile.Changes) (r redrawing, err error) {
	if r.Chart, r.early = chartfile.OpenVideo(path); r.Chart == nil {
		return r, r.early
	}
	if err := r.Redraw(changes); err != nil {
		return r, usageError{fmt.Errorf("redraw %s: %w", path, err)}
	}
	return r, nil
}

func isLineRate(lpm float64) bool {
	for _, l := range fax.LineRates {
		if l == lpm {
			return true
		}
	}
	return false
}

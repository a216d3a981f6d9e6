package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"ionoscribe/audio"
	"ionoscribe/fax"
	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/filing"
	"ionoscribe/internal/flags"
)

// receiveOptions are what is ordered of the decoder; what is not, it finds out.
type receiveOptions struct {
	ioc       int
	lpm       float64
	deviation float64
	sideband  string
	lineStart float64
	loss      float64
	noRestore bool
	doubtful  bool
}

func (o *receiveOptions) addFlags(f *pflag.FlagSet) {
	flags.Under(flags.WhatToReceive, f, func(f *pflag.FlagSet) {
		f.IntVar(&o.ioc, "ioc", 0, "`INDEX` of cooperation, 576 or 288 (default: found out)")
		f.Float64Var(&o.lpm, "lpm", 0, "`LINES` a minute: 60, 90, 120 or 240 (default: found out)")
		f.Float64Var(&o.deviation, "deviation", fax.DeviationHz, "`Hz` from the middle frequency to black and to white; on LF 150")
		f.StringVar(&o.sideband, "sideband", "either", "`SIDE` that the receiver was set to: upper, lower or either")
		flags.Choices(f, "ioc", "576", "288")
		flags.Choices(f, "lpm", "60", "90", "120", "240")
		flags.Choices(f, "sideband", "either", "upper", "lower")
		f.Float64Var(&o.lineStart, "line-start", 0, "`PIXELS` by which lines begin after the phasing pulse; 1810 are a line")
		f.Float64Var(&o.loss, "loss", 30, "`SECONDS` without a signal that end a chart")
		f.BoolVar(&o.noRestore, "no-restore", false, "draw what was received, without cleaning it of noise")
		f.BoolVar(&o.doubtful, "doubtful", false, "keep poor charts too of which neither phasing was heard nor a slant found, and that may be none")
	})
}

// config is complete but for the sample rate.
func (o receiveOptions) config() (fax.Config, error) {
	side, err := sideband(o.sideband)
	if err != nil {
		return fax.Config{}, err
	}
	c := fax.Config{
		IOC: o.ioc, LPM: o.lpm, DeviationHz: o.deviation, Sideband: side,
		LineStart:   o.lineStart / float64(fax.Columns(576)),
		LossSeconds: o.loss, Plain: o.noRestore, Doubtful: o.doubtful,
	}
	check := c
	check.SampleRate = audio.MinRate
	if _, err := fax.New(check, fax.Events{}); err != nil {
		return c, usageError{err}
	}
	return c, nil
}

func sideband(name string) (fax.Sideband, error) {
	switch strings.ToLower(name) {
	case "either":
		return fax.Either, nil
	case "upper":
		return fax.Upper, nil
	case "lower":
		return fax.Lower, nil
	}
	return 0, usageError{fmt.Errorf("--sideband %q is none of upper, lower, either", name)}
}

// receiver decodes sources one after the other.
type receiver struct {
	config   fax.Config
	progress *progress
	keeper   *filing.Charts // saves charts; nil: they are for chart alone
	// chart gets each chart; its files are "" if there is no keeper.
	chart func(source string, c *chartfile.Chart, picture, video string)
}

// side is the direction of the sideband: charts are sent for the upper one.
func (r *receiver) side() float64 {
	if r.config.Sideband == fax.Lower {
		return -1
	}
	return 1
}

// receive decodes a source; what was received before an error or an interruption comes first. It returns how
// many charts there were.
func (r *receiver) receive(ctx context.Context, source, path string, o opening) (charts int, err error) {
	s, err := openStream(ctx, path, o)
	if err != nil {
		return 0, err
	}
	c := r.config
	c.SampleRate = s.source.SampleRate()
	came := filing.NewArrival(r.keeper, "fax-"+s.source.Time(0).UTC().Format("20060102T150405Z"), chartfile.Origin{
		Source: source, Recording: filing.RecordingPath(path), Start: s.source.Time(0), TimeFrom: s.source.StartFrom(),
	})
	d, err := fax.New(c, fax.Events{
		Chart: func(c *fax.Chart) {
			charts++
			r.progress.clear()
			chart := chartfile.New(c, s.source.Time, s.source.StartFrom())
			chart.Source = source
			if dial := s.source.Dial(); dial != 0 {
				chart.Hz = dial + r.side()*fax.CentreHz
			}
			if r.keeper == nil {
				r.chart(source, chart, "", "")
				return
			}
			r.keeper.Save(chart, came.Take(), func(picture, video string) { r.chart(source, chart, picture, video) })
		},
		State: r.progress.state,
	})
	if err != nil {
		return 0, err
	}
	r.progress.begin(source, s.source.Length(), s.source.SampleRate())
	err = s.each(ctx, func(block []float32) {
		d.Write(block)
		if r.keeper != nil {
			a, v := d.Arriving()
			came.Follow(a, v, false)
			r.keeper.Retry()
		}
		r.progress.add(len(block))
	})
	r.progress.last()
	d.Flush()
	came.Follow(fax.Arriving{}, nil, false) // what still came in was none
	r.progress.clear()
	return charts, err
}

// receiveAll decodes all sources and joins their errors; a bad source does not keep the next one from its turn.
func (r *receiver) receiveAll(ctx context.Context, sources []string, own []ownSource) error {
	var errs []error
	total := 0
	for i, o := range own {
		n, err := r.receive(ctx, sources[i], o.path, o.opening)
		total += n
		if errors.Is(err, errInterrupted) {
			errs = append(errs, fmt.Errorf("%w; what was received is saved", err))
			break
		}
		errs = append(errs, err)
	}
	if err := errors.Join(errs...); err != nil || total > 0 {
		return err
	}
	return fmt.Errorf("%w in %s; check the receiver's tuning (1.9 kHz below the listed frequency, upper sideband) and the level of the audio",
		errNoChart, strings.Join(sources, ", "))
}

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/audio"
	"ionoscribe/demod"
	"ionoscribe/internal/band"
	"ionoscribe/internal/fault"
	"ionoscribe/internal/flags"
	"ionoscribe/internal/modes"
)

type synthBandOptions struct {
	target  targetOptions
	band    band.Config
	count   map[string]*int // of transmissions of each mode
	minutes float64
	snr     string
	list    string
}

func newSynthBandCommand() *cobra.Command {
	o := synthBandOptions{count: map[string]*int{}}
	cmd := &cobra.Command{
		Use:   "band [flags]",
		Short: "Make a busy band, as I and Q",
		Long: `Make a recording of a busy band as complex samples, I left and Q right: ` + inWords(titles(modes.All), "and") + ` at
frequencies and times that follow from --seed, in white noise. --list tells what is in it.

` + licenceHelp + "\n\n" + statusHelp,
		Example: `  ionoscribe synth band --minutes 5 --list band.json -o band.wav`,
		Args:    cobra.NoArgs,
	}
	cmd.RunE = func(c *cobra.Command, _ []string) error { return runSynthBand(c.Context(), o, c.OutOrStdout()) }
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *synthBandOptions) addFlags(f *pflag.FlagSet) {
	o.target.addFlags(f, "band.wav")
	c := &o.band
	flags.Under(flags.WhatToSend, f, func(f *pflag.FlagSet) {
		f.Float64Var(&c.SampleRate, "rate", 96000, "`Hz`: sample rate, and width of the band")
		f.Float64Var(&o.minutes, "minutes", 30, "`MINUTES` that it lasts")
		for _, m := range modes.All {
			o.count[m.Name] = f.Int(m.Name, m.InBand, "`NUMBER` of "+m.Title+" transmissions")
		}
		f.StringVar(&o.snr, "snr", "10,25", "`LOWEST,HIGHEST` signal-to-noise ratio in 2500 Hz, in dB")
		f.Uint64Var(&c.Seed, "seed", 1, "`NUMBER` that all follows from")
	})
	flags.Under(flags.WhereTo, f, func(f *pflag.FlagSet) {
		f.StringVar(&o.list, "list", "", "`FILE` for a list of what is in it, as JSON")
	})
}

func runSynthBand(ctx context.Context, o synthBandOptions, out io.Writer) error {
	v, err := flags.Numbers(o.snr, 2)
	if err != nil {
		return usageError{fmt.Errorf("--snr %s: %w", o.snr, err)}
	}
	c := o.band
	c.Count = map[string]int{}
	for name, n := range o.count {
		c.Count[name] = *n
	}
	c.LowestSNR, c.HighestSNR, c.Seconds = v[0], v[1], o.minutes*60
	plan, err := band.New(c)
	if err != nil {
		return usageError{err}
	}
	scene, err := plan.Scene()
	if err != nil {
		return usageError{err}
	}
	if o.list != "" {
		o.target.read = []string{o.list}
		b, err := json.MarshalIndent(plan, "", "  ")
		if err == nil {
			err = os.WriteFile(o.list, append(b, '\n'), 0o666)
		}
		if err != nil {
			return &fault.Error{Op: "write", Path: o.list, Err: fault.Cause(err), Mend: "check its folder"}
		}
	}
	return o.target.writeIQ(ctx, scene, "band.wav", out)
}

// writeIQ writes complex samples to their end; see write.
func (o targetOptions) writeIQ(ctx context.Context, src demod.IQReader, name string, out io.Writer) error {
	enc := audio.Encoding(o.encoding)
	switch {
	case o.to != "":
		if err := o.checkSend(); err != nil {
			return err
		}
		w, err := audio.NewSender(o.to, src.SampleRate(), true)
		if err != nil {
			return err
		}
		return recordIQ(ctx, w, src)
	case o.out == "-":
		if isTerminal(out) {
			return errTerminal
		}
		w, err := audio.NewIQWAVWriter(out, src.SampleRate(), enc)
		if err != nil {
			return usageError{err}
		}
		if err = recordIQ(ctx, w, src); err != nil && !errors.Is(err, errInterrupted) {
			err = outputError(err)
		}
		return err
	case o.out != "":
		name = o.out
	}
	if err := notOnto(name, o.read...); err != nil {
		return err
	}
	w, err := audio.CreateIQWAV(name, src.SampleRate(), enc)
	if err != nil {
		return err
	}
	if err := recordIQ(ctx, w, src); err != nil {
		return err
	}
	return printLine(out, name)
}

// iqWriter is sampleWriter for complex samples.
type iqWriter interface {
	WriteIQ(src []complex64) error
	Close() error
	Abort()
}

// recordIQ is record for complex samples.
func recordIQ(ctx context.Context, w iqWriter, src demod.IQReader) error {
	buf := make([]complex64, 1<<13)
	for ctx.Err() == nil {
		n, err := src.ReadIQ(buf)
		if w.WriteIQ(buf[:n]) != nil || errors.Is(err, io.EOF) {
			return w.Close()
		}
		if err != nil {
			w.Abort()
			return err
		}
	}
	w.Abort()
	return errInterrupted
}

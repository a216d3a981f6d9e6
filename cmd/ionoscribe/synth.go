package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/audio"
	"ionoscribe/demod"
	"ionoscribe/fax"
	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/flags"
	"ionoscribe/internal/mode"
	"ionoscribe/samples"
)

const licenceHelp = "Test signals are for the bench: transmitting them needs a licence."

// targetOptions say where a test signal goes.
type targetOptions struct {
	out, encoding, to string
	read              []string // files that are read, and not to be overwritten
}

func (o *targetOptions) addFlags(f *pflag.FlagSet, name string) {
	flags.Under(flags.WhereTo, f, func(f *pflag.FlagSet) {
		f.StringVarP(&o.out, "out", "o", "", "`FILE` to write; - is standard output (default: "+name+")")
		f.StringVar(&o.encoding, "encoding", string(audio.S16), "`FORM` of the samples: s16le or f32le")
		flags.Choices(f, "encoding", string(audio.S16), string(audio.F32))
		f.StringVar(&o.to, "to", "", "`ADDRESS` to send to, as fast as it sounds, instead of a file: rtp://ADDRESS:PORT")
	})
}

var errTerminal = usageError{errors.New("a recording is not for a terminal; send it to a file or a pipe")}

// sampleWriter is where a test signal goes: a recording, or the network.
type sampleWriter interface {
	WriteSamples(src []float32) error
	Close() error
	Abort()
}

// send sends a signal to the network.
func (o targetOptions) send(ctx context.Context, src demod.SampleReader) error {
	if err := o.checkSend(); err != nil {
		return err
	}
	w, err := audio.NewSender(o.to, src.SampleRate(), false)
	if err != nil {
		return err
	}
	return record(ctx, w, src)
}

func (o targetOptions) checkSend() error {
	if o.out != "" {
		return usageError{errors.New("--out and --to exclude each other")}
	}
	if o.encoding != string(audio.S16) {
		return usageError{errors.New("RTP audio is always 16-bit; leave out --encoding")}
	}
	return nil
}

// write writes a signal to its end; name is that of the file if none is ordered.
func (o targetOptions) write(ctx context.Context, src demod.SampleReader, name string, out io.Writer) error {
	if o.to != "" {
		return o.send(ctx, src)
	}
	if o.out == "-" {
		if isTerminal(out) {
			return errTerminal
		}
		w, err := audio.NewWAVWriter(out, src.SampleRate(), audio.Encoding(o.encoding))
		if err != nil {
			return usageError{err}
		}
		if err = record(ctx, w, src); err != nil && !errors.Is(err, errInterrupted) {
			err = outputError(err)
		}
		return err
	}
	if o.out != "" {
		name = o.out
	}
	if err := notOnto(name, o.read...); err != nil {
		return err
	}
	w, err := audio.CreateWAV(name, src.SampleRate(), audio.Encoding(o.encoding))
	if err != nil {
		return err
	}
	if err := record(ctx, w, src); err != nil {
		return err
	}
	return printLine(out, name)
}

type synthFaxOptions struct {
	target    targetOptions
	path      pathOptions
	rate      float64
	ioc       int
	lpm       float64
	deviation float64
	sideband  string
	phasing   string
	video     string
}

func newSynthFaxCommand(m *mode.Mode) *cobra.Command {
	o := synthFaxOptions{}
	cmd := &cobra.Command{
		Use:   m.Name + " [flags] PICTURE",
		Short: "Send a picture as " + m.Title + " into a recording",
		Long: `Send a picture (PNG, JPEG or TIFF) as ` + m.Title + ` into a WAV recording: start tone, phasing, picture, stop
tone. A picture exactly as wide as a line (1810 pixels for index 576, 905 for 288) is sent as it is; any
other is scaled into the line.

` + pathHelp + "\n\n" + licenceHelp + "\n\n" + statusHelp,
		Example: `  ionoscribe synth fax chart.png
  ionoscribe synth fax --snr 6 --clock-error 40 --out - chart.png | ionoscribe fax -
  ionoscribe synth fax --channel mid-moderate --snr 15 --other cw,0,700 chart.png`,
		Args: cobra.ExactArgs(1),
	}
	cmd.RunE = func(c *cobra.Command, args []string) error {
		return runSynthFax(c.Context(), o, args[0], c.OutOrStdout())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *synthFaxOptions) addFlags(f *pflag.FlagSet) {
	o.target.addFlags(f, "the picture's name with .wav")
	o.path.addFlags(f)
	flags.Under(flags.WhatToSend, f, func(f *pflag.FlagSet) {
		f.Float64Var(&o.rate, "rate", samples.DefaultSampleRate, "`Hz`: sample rate")
		f.IntVar(&o.ioc, "ioc", samples.DefaultIOC, "`INDEX` of cooperation, 576 or 288")
		f.Float64Var(&o.lpm, "lpm", samples.DefaultLPM, "`LINES` a minute: 60, 90, 120 or 240")
		f.Float64Var(&o.deviation, "deviation", samples.DefaultDeviationHz, "`Hz` from the middle frequency to black and to white; on LF 150")
		f.StringVar(&o.sideband, "sideband", "upper", "`SIDE` that the receiver is set to: upper or lower")
		f.StringVar(&o.phasing, "phasing", "white-pulse", "`FORM` of the phasing lines: white-pulse, black-pulse or halves")
		flags.Choices(f, "ioc", "576", "288")
		flags.Choices(f, "lpm", "60", "90", "120", "240")
		flags.Choices(f, "sideband", "upper", "lower")
		flags.Choices(f, "phasing", slices.Sorted(maps.Keys(phasings))...)
		f.StringVar(&o.video, "video-filter", "", videoFilterUsage)
	})
}

var phasings = map[string]samples.Phasing{
	"white-pulse": samples.WhitePulse, "black-pulse": samples.BlackPulse, "halves": samples.HalfAndHalf,
}

func runSynthFax(ctx context.Context, o synthFaxOptions, picture string, out io.Writer) error {
	side, err := sideband(o.sideband)
	if err != nil || side == fax.Either {
		return usageError{fmt.Errorf("--sideband %q is neither upper nor lower", o.sideband)}
	}
	form, ok := phasings[o.phasing]
	if !ok {
		return usageError{fmt.Errorf("--phasing %q is none of white-pulse, black-pulse, halves", o.phasing)}
	}
	video, err := videoFilter(o.video)
	if err != nil {
		return err
	}
	path, err := o.path.path()
	if err != nil {
		return err
	}
	src, err := interruptible(ctx, func() (demod.SampleReader, error) {
		m, err := chartfile.OpenPicture(picture)
		if err != nil {
			return nil, err
		}
		src, err := sendFax(samples.FaxConfig{
			Picture: m, SampleRate: o.rate, IOC: o.ioc, LPM: o.lpm, DeviationHz: o.deviation, Inverted: side == fax.Lower, Phasing: form,
			Video: video,
		}, path)
		if err != nil {
			return nil, usageError{err}
		}
		return src, nil
	})
	if err != nil {
		return err
	}
	o.target.read = []string{picture}
	return o.target.write(ctx, src, strings.TrimSuffix(picture, filepath.Ext(picture))+".wav", out)
}

// sendFax sends a picture along a path, with room for all that is added.
func sendFax(c samples.FaxConfig, path samples.Path) (demod.SampleReader, error) {
	c.Amplitude = headroom(&path, c.SampleRate)
	f, err := samples.NewFax(c)
	if err != nil {
		return nil, err
	}
	return path.Through(f, f.Power())
}

// record writes a signal to its end and closes the recording; an interruption leaves no file.
func record(ctx context.Context, w sampleWriter, src demod.SampleReader) error {
	buf := make([]float32, 1<<13)
	for ctx.Err() == nil {
		n, err := src.ReadSamples(buf)
		if w.WriteSamples(buf[:n]) != nil || errors.Is(err, io.EOF) {
			return w.Close() // tells the first error
		}
		if err != nil {
			w.Abort()
			return err
		}
	}
	w.Abort()
	return errInterrupted
}

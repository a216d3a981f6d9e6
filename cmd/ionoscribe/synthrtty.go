package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/internal/flags"
	"ionoscribe/rtty"
	"ionoscribe/samples"
)

type synthRTTYOptions struct {
	target   targetOptions
	path     pathOptions
	rtty     samples.RTTYConfig
	alphabet string
}

// alphabetNames are those of the options.
var alphabetNames = map[string]rtty.Alphabet{"ita2": rtty.ITA2, "us": rtty.ITA2US, "ascii7": rtty.ASCII7, "ascii8": rtty.ASCII8}

func newSynthRTTYCommand() *cobra.Command {
	o := synthRTTYOptions{}
	cmd := &cobra.Command{
		Use:   "rtty [flags] TEXT",
		Short: "Send text as radioteletype into a recording",
		Long: `Send text as radioteletype into a WAV recording: start-stop telegraphy by frequency-shift keying whose phase
never jumps. ` + textHelp + `

` + pathHelp + "\n\n" + licenceHelp + "\n\n" + statusHelp,
		Example: `  ionoscribe synth rtty --snr 0 -o signal.wav message.txt
  ionoscribe synth rtty --baud 50 --shift 450 --channel mid-disturbed -o - bulletin.txt | ionoscribe rtty -`,
		Args: cobra.ExactArgs(1),
	}
	cmd.RunE = func(c *cobra.Command, args []string) error {
		return runSynthRTTY(c.Context(), o, args[0], c.InOrStdin(), c.OutOrStdout())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *synthRTTYOptions) addFlags(f *pflag.FlagSet) {
	o.target.addFlags(f, "the text file's name with .wav, or text.wav")
	c := &o.rtty
	flags.Under(flags.WhatToSend, f, func(f *pflag.FlagSet) {
		f.Float64Var(&c.SampleRate, "rate", samples.DefaultSampleRate, "`Hz`: sample rate")
		f.Float64Var(&c.Baud, "baud", samples.DefaultBaud, "`BAUD`: elements a second")
		f.Float64Var(&c.BaudErrorPercent, "baud-error", 0, "`PERCENT` by which the sender is too fast, up to 5")
		f.Float64Var(&c.ShiftHz, "shift", samples.DefaultShiftHz, "`Hz` between mark and space")
		f.Float64Var(&c.CentreHz, "centre", samples.DefaultRTTYCentreHz, "`Hz`: audio frequency in the middle of mark and space")
		f.BoolVar(&c.Inverted, "mark-higher", false, "make mark the higher of the two tones")
		f.StringVar(&o.alphabet, "alphabet", "ita2", "`NAME` of the alphabet: ita2, us (ITA2 with US figures), ascii7 or ascii8")
		flags.Choices(f, "alphabet", "ita2", "us", "ascii7", "ascii8")
		f.BoolVar(&c.Encoder.DoubleReturn, "double-return", false, "send two carriage returns for a new line, as bulletins have it")
		f.BoolVar(&c.Encoder.ShiftAfterSpace, "shift-after-space", false, "send the figures shift again after a space")
		f.Float64Var(&c.StopElements, "stop", samples.DefaultStopElements, "`ELEMENTS` that a stop element lasts, 1 to 10")
		f.Float64Var(&c.StopJitter, "stop-jitter", 0, "`ELEMENTS` by which it is longer at random")
		f.Float64Var(&c.GapSeconds, "gap", 0, "`SECONDS` of idle time after a character, in the mean, as of someone who types")
		f.BoolVar(&c.Diddle, "diddle", false, "send idle characters instead of steady mark")
		f.Float64Var(&c.TurnElements, "turn", 0, "`ELEMENTS` that the turn from tone to tone takes, up to 1; 0 is at once")
		f.Float64Var(&c.LeadSeconds, "lead", samples.DefaultIdleSeconds, "`SECONDS` of idle mark before the text; negative: none")
		f.Float64Var(&c.TrailSeconds, "trail", samples.DefaultIdleSeconds, "`SECONDS` of idle mark behind it; negative: none")
	})
	o.path.addFlags(f)
}

func runSynthRTTY(ctx context.Context, o synthRTTYOptions, arg string, in io.Reader, out io.Writer) error {
	alphabet, ok := alphabetNames[o.alphabet]
	if !ok {
		return usageError{fmt.Errorf("--alphabet %q is none of ita2, us, ascii7, ascii8", o.alphabet)}
	}
	path, err := o.path.path()
	if err != nil {
		return err
	}
	c := o.rtty
	var name string
	if c.Text, name, err = readText(arg, in); err != nil {
		return err
	}
	c.Encoder.Alphabet, c.Seed, c.Amplitude = alphabet, o.path.seed, headroom(&path, c.SampleRate)
	s, err := samples.NewRTTY(c)
	if err != nil {
		return usageError{err}
	}
	src, err := path.Through(s, s.Power())
	if err != nil {
		return usageError{err}
	}
	o.target.read = []string{arg}
	return o.target.write(ctx, src, name, out)
}

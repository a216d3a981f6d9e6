package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/internal/flags"
	"ionoscribe/samples"
)

type synthCWOptions struct {
	target targetOptions
	path   pathOptions
	cw     samples.CWConfig
	sender string
	speeds []string
}

var senders = map[string]samples.CWSender{
	"machine": samples.Machine, "paddle": samples.Paddle, "straight": samples.StraightKey, "semi-automatic": samples.SemiAutomatic,
}

func newSynthCWCommand() *cobra.Command {
	o := synthCWOptions{}
	cmd := &cobra.Command{
		Use:   "cw [flags] TEXT",
		Short: "Send text as Morse code into a recording",
		Long: `Send text as Morse code (ITU-R M.1677-1) into a WAV recording. ` + textHelp + `
Procedure signals are written in angle brackets, such as <AS>.

` + pathHelp + "\n\n" + licenceHelp + "\n\n" + statusHelp,
		Example: `  ionoscribe synth cw --snr 0 -o signal.wav message.txt
  ionoscribe synth cw --wpm 18 --sender straight --channel mid-moderate -o - message.txt | ionoscribe cw -`,
		Args: cobra.ExactArgs(1),
	}
	cmd.RunE = func(c *cobra.Command, args []string) error {
		return runSynthCW(c.Context(), o, args[0], c.InOrStdin(), c.OutOrStdout())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *synthCWOptions) addFlags(f *pflag.FlagSet) {
	o.target.addFlags(f, "the text file's name with .wav, or text.wav")
	c := &o.cw
	flags.Under(flags.WhatToSend, f, func(f *pflag.FlagSet) {
		f.Float64Var(&c.SampleRate, "rate", samples.DefaultSampleRate, "`Hz`: sample rate")
		f.Float64Var(&c.WPM, "wpm", samples.DefaultWPM, "`SPEED` in words a minute")
		f.Float64Var(&c.FarnsworthWPM, "text-wpm", 0, "`SPEED` of the text, slower than its characters, by wider gaps (Farnsworth); 0: the same")
		f.StringArrayVar(&o.speeds, "change", nil, "change of speed, `AT,WPM`: after so many characters; can be repeated")
		f.Float64Var(&c.PitchHz, "pitch", samples.DefaultPitchHz, "`Hz`: audio frequency")
		f.StringVar(&o.sender, "sender", "machine", "`HAND` that sends: machine, paddle, straight or semi-automatic")
		flags.Choices(f, "sender", "machine", "paddle", "straight", "semi-automatic")
		f.Float64Var(&c.Jitter, "jitter", 0, "`SHARE` by which the lengths that a hand makes stray, up to 0.3; 0: 0.12")
		f.Float64Var(&c.WeightPercent, "weight", samples.DefaultWeightPercent, "`PERCENT` of a dot and its gap that the dot takes, 30 to 70")
		f.Float64Var(&c.DashRatio, "dash-ratio", samples.DefaultDashRatio, "`DOTS` that a dash lasts, 2 to 5")
		f.Float64Var(&c.EdgeSeconds, "edge", samples.DefaultEdgeSeconds, "`SECONDS` that the signal takes to rise and to fall; negative: none")
		f.Float64Var(&c.ChirpHz, "chirp", 0, "`Hz` by which the pitch is higher when the key goes down")
		f.Float64Var(&c.ChirpSeconds, "chirp-time", samples.DefaultChirpSeconds, "`SECONDS` in which that dies away")
		f.Float64Var(&c.HumDepth, "ripple", 0, "`DEPTH` of a hum on the tone, 0 to 1")
		f.Float64Var(&c.HumHz, "ripple-hz", samples.DefaultHumModulationHz, "`Hz` of that hum")
		f.Float64Var(&c.LeadSeconds, "lead", samples.DefaultCWSilenceSeconds, "`SECONDS` of silence before the text; negative: none")
		f.Float64Var(&c.TrailSeconds, "trail", samples.DefaultCWSilenceSeconds, "`SECONDS` of silence behind it; negative: none")
	})
	o.path.addFlags(f)
}

func runSynthCW(ctx context.Context, o synthCWOptions, arg string, in io.Reader, out io.Writer) error {
	sender, ok := senders[o.sender]
	if !ok {
		return usageError{fmt.Errorf("--sender %q is none of machine, paddle, straight, semi-automatic", o.sender)}
	}
	path, err := o.path.path()
	if err != nil {
		return err
	}
	c := o.cw
	for _, s := range o.speeds {
		v, err := flags.Numbers(s, 2)
		if err != nil || v[0] != math.Trunc(v[0]) || math.Abs(v[0]) > maxText {
			return usageError{fmt.Errorf("--change %s: a number of characters and a speed are wanted", s)}
		}
		c.Speeds = append(c.Speeds, samples.CWSpeed{At: int(v[0]), WPM: v[1]})
	}
	var name string
	if c.Text, name, err = readText(arg, in); err != nil {
		return err
	}
	c.Text = strings.Join(strings.Fields(c.Text), " ") // a new line is a gap between words
	c.Sender, c.Seed, c.Amplitude = sender, o.path.seed, headroom(&path, c.SampleRate)
	s, err := samples.NewCW(c)
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

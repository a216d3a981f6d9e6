package main

import (
	"cmp"
	"context"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/audio"
	"ionoscribe/internal/flags"
	"ionoscribe/internal/mode"
)

// receiveTextOptions are those of the command that receives a mode that prints text.
type receiveTextOptions struct {
	sourceOptions
	textOptions
	table    bool
	mode     *mode.Mode
	receiver mode.Receiver
}

// newReceiveTextCommand receives a mode that prints text.
func newReceiveTextCommand(m *mode.Mode) *cobra.Command {
	o := receiveTextOptions{mode: m, receiver: m.Text.Receive()}
	help := o.receiver.Help()
	cmd := &cobra.Command{
		Use:     m.Name + " [flags] SOURCE...",
		Short:   help.Short,
		Long:    aroundCommon(help.Long, "\n\n"+sourceHelp, " ") + "\n\n" + rightsHelp + "\n\n" + textStatusHelp,
		Example: help.Example,
		Args:    cobra.MinimumNArgs(1),
	}
	cmd.RunE = func(c *cobra.Command, sources []string) error {
		if listsDevices(sources) {
			return printDevices(c.OutOrStdout())
		}
		o.notes = c.ErrOrStderr()
		return o.run(c.Context(), sources, c.InOrStdin(), c.OutOrStdout())
	}
	if help.Table == "" {
		help.Table = "what is received when it changes"
	}
	f := cmd.Flags()
	flags.Under(flags.WhatToReceive, f, o.receiver.AddFlags)
	flags.Under(flags.WhereTo, f, func(f *pflag.FlagSet) {
		f.BoolVar(&o.table, "table", false, "print, in lines that begin with a star, "+help.Table)
	})
	o.textOptions.addFlags(f)
	o.sourceOptions.addFlags(f)
	return cmd
}

// aroundCommon puts what is common to all modes behind the first paragraph of what is said of one; between comes before the
// rest, if there is some.
func aroundCommon(text, common, between string) string {
	first, rest, more := strings.Cut(text, "\n\n")
	if !more {
		between = ""
	}
	return first + common + between + rest
}

// sourceHelp says what SOURCE is, of commands that receive one mode.
const sourceHelp = `SOURCE is a recording (WAV, W64, AIFF, FLAC, MP3, Ogg Vorbis, Opus, SigMF or raw samples, known by what is in
it), or - for the same from standard input, or a live one: device:NAME for a sound device (device: alone lists them, device:default is the
usual one), rtp://ADDRESS:PORT for 16-bit RTP audio from a sender or a multicast group (port 0
is one that is free, which is told), or tcp://HOST:PORT for raw samples.`

const rightsHelp = "Whether and what you may receive and pass on differs by country."

// wide says that a whole band of complex samples is listened to.
func (o *receiveTextOptions) wide() bool {
	return o.receiver.All() && o.receiver.Anywhere() && o.iq != "" && !o.tune.set
}

func (o *receiveTextOptions) run(ctx context.Context, sources []string, in io.Reader, out io.Writer) error {
	if _, err := o.receiver.NewDecoder(mode.Order{SampleRate: audio.MinRate}, mode.Told{}); err != nil {
		return usageError{err}
	}
	if err := o.textOptions.check(); err != nil {
		return err
	}
	if o.wide() {
		return receiveText(ctx, sources, o.sourceOptions, o.textOptions, in, out, textSetup[complex64]{
			several: true,
			open:    openIQStream,
			build: func(r *textReceiver, rate float64) (textDecoder[complex64], error) {
				return newWide(rate, o.mode, o.receiver, o.printer(r, "%+9.1f Hz"))
			},
		})
	}
	return receiveText(ctx, sources, o.sourceOptions, o.textOptions, in, out, textSetup[float32]{
		several: o.receiver.All(),
		open:    openStream,
		build: func(r *textReceiver, rate float64) (textDecoder[float32], error) {
			p := o.printer(r, "%6.1f Hz")
			return o.receiver.NewDecoder(mode.Order{SampleRate: rate}, mode.Told{Text: p.text, State: p.state})
		},
	})
}

func (o *receiveTextOptions) printer(r *textReceiver, form string) *textPrinter {
	return &textPrinter{textReceiver: r, table: o.table, hzKey: cmp.Or(o.mode.Text.HzKey, "hz"), form: form}
}

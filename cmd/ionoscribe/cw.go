package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/audio"
	"ionoscribe/cw"
	"ionoscribe/internal/flags"
)

type cwOptions struct {
	sourceOptions
	textOptions
	pitch float64
	wpm   float64
	all   bool
	table bool
	plain bool
}

func newCWCommand() *cobra.Command {
	var o cwOptions
	cmd := &cobra.Command{
		Use:   "cw [flags] SOURCE...",
		Short: "Print Morse code",
		Long: `Print Morse code from recordings or from what a pipe brings; pitch and speed are found and followed.

SOURCE is a recording (WAV, W64, AIFF, FLAC, MP3, Ogg Vorbis, Opus, SigMF or raw samples, known by what is in
it), or - for the same from standard input, or a live one: device:NAME for a sound device (device: alone lists them, device:default is the
usual one), rtp://ADDRESS:PORT for 16-bit RTP audio from a sender or a multicast group, or tcp://HOST:PORT
for raw samples. One signal is printed as it is heard, some characters late; when it has ended, the next. With
--all every signal from 200 to 3500 Hz is, in lines that begin with its pitch.

With --iq SOURCE is complex, and --tune listens in it; with --all and neither --tune nor --pitch all of its band
is copied, in lines that begin with the frequency from its centre.

With --plain-language English is expected, as much as what is received looks like it: weak signals are
copied with fewer errors, and groups and call signs with hardly more.

Procedure signals are written in angle brackets, with a line over the letters that are run together.

Whether and what you may receive and pass on differs by country.

` + textStatusHelp,
		Example: `  ionoscribe cw recording.wav
  ionoscribe cw --all --log morse.txt recording.wav
  ionoscribe cw --all --iq normal band.wav
  arecord -f S16_LE -r 12000 -t wav | ionoscribe cw -`,
		Args: cobra.MinimumNArgs(1),
	}
	cmd.RunE = func(c *cobra.Command, sources []string) error {
		if listsDevices(sources) {
			return printDevices(c.OutOrStdout())
		}
		o.notes = c.ErrOrStderr()
		return runCW(c.Context(), o, sources, c.InOrStdin(), c.OutOrStdout())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *cwOptions) addFlags(f *pflag.FlagSet) {
	flags.Under(flags.WhatToReceive, f, func(f *pflag.FlagSet) {
		f.Float64Var(&o.pitch, "pitch", 0, "`HZ` of the signal, 200 to 3500, to within 30 (default: found out)")
		f.Float64Var(&o.wpm, "wpm", 0, "`SPEED` in words a minute, 5 to 60, to within a quarter (default: found out)")
		f.BoolVar(&o.all, "all", false, "print every signal")
		f.BoolVar(&o.plain, "plain-language", false, "expect English besides groups and call signs")
	})
	flags.Under(flags.WhereTo, f, func(f *pflag.FlagSet) {
		f.BoolVar(&o.table, "table", false, "print, in lines that begin with a star, which signals there are as they come, change and go")
	})
	o.textOptions.addFlags(f)
	o.sourceOptions.addFlags(f)
}

// wide says that a whole band of complex samples is listened to.
func (o cwOptions) wide() bool { return o.all && o.iq != "" && !o.tune.set && o.pitch == 0 }

// config is complete but for the sample rate.
func (o cwOptions) config() (cw.Config, error) {
	c := cw.Config{PitchHz: o.pitch, WPM: o.wpm, PlainLanguage: o.plain}
	if o.all {
		c.Signals = cw.MaxSignals
	}
	check := c
	check.SampleRate = audio.MinRate
	if _, err := cw.New(check, cw.Events{}); err != nil {
		return c, usageError{err}
	}
	return c, o.check()
}

func runCW(ctx context.Context, o cwOptions, sources []string, in io.Reader, out io.Writer) error {
	c, err := o.config()
	if err != nil {
		return err
	}
	if o.wide() {
		return receiveText(ctx, sources, o.sourceOptions, o.textOptions, in, out, textSetup[complex64]{
			several: true,
			open:    openIQStream,
			build: func(r *textReceiver, rate float64) (textDecoder[complex64], error) {
				p := cwPrinter{textReceiver: r, all: true, table: o.table, form: "%+9.1f Hz"}
				return newWideCW(rate, cw.Config{WPM: o.wpm, PlainLanguage: o.plain}, p)
			},
		})
	}
	return receiveText(ctx, sources, o.sourceOptions, o.textOptions, in, out, textSetup[float32]{
		several: o.all,
		open:    openStream,
		build: func(r *textReceiver, rate float64) (textDecoder[float32], error) {
			p := cwPrinter{textReceiver: r, all: o.all, table: o.table, form: "%6.1f Hz"}
			c.SampleRate = rate
			return cw.New(c, cw.Events{Char: p.char, State: p.state})
		},
	})
}

// cwPrinter prints Morse.
type cwPrinter struct {
	*textReceiver
	all, table bool
	form       string // of a frequency
}

// cwEvent is a JSON object: a character, or a state, which has no text.
type cwEvent struct {
	textEvent
	Signal     int      `json:"signal"`
	Text       string   `json:"text,omitempty"`
	Procedure  string   `json:"procedure,omitempty"`
	Confidence *float64 `json:"confidence,omitempty"`
	PitchHz    float64  `json:"pitch_hz"`
	AirHz      float64  `json:"air_hz,omitempty"` // if the dial is known
	WPM        float64  `json:"wpm"`
	SNR        *float64 `json:"snr_db,omitempty"`
	Weighting  float64  `json:"weighting,omitempty"`
	DashRatio  float64  `json:"dash_ratio,omitempty"`
}

func (p *cwPrinter) char(c cw.Char) {
	sure := rounded(c.Confidence, 1000)
	p.textReceiver.char(c.Signal, fmt.Sprintf(p.form, c.PitchHz), c.Text, c.Confidence, c.At, cwEvent{
		textEvent: p.event("char", c.At), Signal: c.Signal, Text: c.Text, Procedure: c.Procedure, Confidence: &sure,
		PitchHz: rounded(c.PitchHz, 10), AirHz: p.onAir(c.PitchHz), WPM: rounded(c.WPM, 10),
	})
}

func (p *cwPrinter) state(s cw.State) {
	if p.json {
		kind := "signal"
		if !s.Receiving {
			kind = "lost"
		}
		snr := rounded(s.SNR, 10)
		p.object(cwEvent{
			textEvent: p.event(kind, s.At), Signal: s.Signal, PitchHz: rounded(s.PitchHz, 10), AirHz: p.onAir(s.PitchHz), WPM: rounded(s.WPM, 10),
			SNR: &snr, Weighting: rounded(s.Weighting, 100), DashRatio: rounded(s.DashRatio, 100),
		})
		return
	}
	if !s.Receiving {
		p.lines.EndSignal(s.Signal)
	}
	if !p.table {
		return
	}
	if !p.all { // do not break into a line of text
		p.lines.EndSignal(s.Signal)
	}
	what := fmt.Sprintf("%4.1f words a minute  %5.1f dB  dashes of %.1f dots", s.WPM, s.SNR, s.DashRatio)
	if !s.Receiving {
		what = "lost"
	}
	p.lines.Print(fmt.Sprintf("* %s  signal %d  %s  %s\n", p.time(s.At).UTC().Format("15:04:05Z"), s.Signal, fmt.Sprintf(p.form, s.PitchHz), what))
}

package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/audio"
	"ionoscribe/internal/flags"
	"ionoscribe/rtty"
)

type rttyOptions struct {
	sourceOptions
	textOptions
	centre, shift, baud float64
	mark, alphabet      string
	unshift, table      bool
}

func newRTTYCommand() *cobra.Command {
	var o rttyOptions
	cmd := &cobra.Command{
		Use:   "rtty [flags] SOURCE...",
		Short: "Print radioteletype",
		Long: `Print radioteletype (start-stop telegraphy, ITU-T S.1) from recordings or from what a pipe brings; tuning, shift,
speed and polarity are found and followed, and found again when the sender changes.

SOURCE is a recording (WAV, W64, AIFF, FLAC, MP3, Ogg Vorbis, Opus, SigMF or raw samples, known by what is in
it), or - for the same from standard input, or a live one: device:NAME for a sound device (device: alone lists them, device:default is the
usual one), rtp://ADDRESS:PORT for 16-bit RTP audio from a sender or a multicast group, or tcp://HOST:PORT
for raw samples. With --iq it is complex, and --tune listens in it. A source may carry settings of its own: night.wav?channel=right&dial=4610kHz. Text is printed as it is heard, some characters late. The bell is shown as ␇, "who are you" as ␅.

Whether and what you may receive and pass on differs by country.

` + textStatusHelp,
		Example: `  ionoscribe rtty recording.wav
  ionoscribe rtty --baud 50 --shift 450 --log bulletins.txt recording.wav
  arecord -f S16_LE -r 12000 -t wav | ionoscribe rtty -`,
		Args: cobra.MinimumNArgs(1),
	}
	cmd.RunE = func(c *cobra.Command, sources []string) error {
		if listsDevices(sources) {
			return printDevices(c.OutOrStdout())
		}
		o.notes = c.ErrOrStderr()
		return runRTTY(c.Context(), o, sources, c.InOrStdin(), c.OutOrStdout())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *rttyOptions) addFlags(f *pflag.FlagSet) {
	flags.Under(flags.WhatToReceive, f, func(f *pflag.FlagSet) {
		f.Float64Var(&o.centre, "centre", 0, "`HZ` in the middle of the tones, 300 to 3500, to within 30 (default: found out)")
		f.Float64Var(&o.shift, "shift", 0, "`HZ` between the tones, 50 to 1000, to within a fifth (default: found out)")
		f.Float64Var(&o.baud, "baud", 0, "`BAUD`, elements a second, 40 to 320, to within 2 % (default: found out)")
		f.StringVar(&o.mark, "mark", "", "`TONE` that is mark: lower or higher (default: found out)")
		f.StringVar(&o.alphabet, "alphabet", "", "`NAME` of the alphabet: ita2, us (ITA2 with US figures), ascii7 or ascii8 (default: ita2, and ASCII where its rates are found)")
		flags.Choices(f, "mark", "lower", "higher")
		flags.Choices(f, "alphabet", "ita2", "us", "ascii7", "ascii8")
		f.BoolVar(&o.unshift, "unshift", false, "return to letters at a space")
	})
	flags.Under(flags.WhereTo, f, func(f *pflag.FlagSet) {
		f.BoolVar(&o.table, "table", false, "print, in lines that begin with a star, what is received when it changes")
	})
	o.textOptions.addFlags(f)
	o.sourceOptions.addFlags(f)
}

var marks = map[string]rtty.Polarity{"": rtty.EitherPolarity, "lower": rtty.MarkLower, "higher": rtty.MarkHigher}

// config is complete but for the sample rate.
func (o rttyOptions) config() (rtty.Config, error) {
	c := rtty.Config{CentreHz: o.centre, ShiftHz: o.shift, Baud: o.baud, UnshiftOnSpace: o.unshift}
	var ok bool
	if c.Polarity, ok = marks[o.mark]; !ok {
		return c, usageError{fmt.Errorf("--mark %q is neither lower nor higher", o.mark)}
	}
	if o.alphabet != "" {
		a, ok := alphabetNames[o.alphabet]
		if !ok {
			return c, usageError{fmt.Errorf("--alphabet %q is none of ita2, us, ascii7, ascii8", o.alphabet)}
		}
		c.Alphabets = []rtty.Alphabet{a}
	}
	check := c
	check.SampleRate = audio.MinRate
	if _, err := rtty.New(check, rtty.Events{}); err != nil {
		return c, usageError{err}
	}
	return c, o.check()
}

func runRTTY(ctx context.Context, o rttyOptions, sources []string, in io.Reader, out io.Writer) error {
	c, err := o.config()
	if err != nil {
		return err
	}
	return receiveText(ctx, sources, o.sourceOptions, o.textOptions, in, out, textSetup[float32]{
		open: openStream,
		build: func(r *textReceiver, rate float64) (textDecoder[float32], error) {
			p := rttyPrinter{r, o.table}
			c.SampleRate = rate
			return rtty.New(c, rtty.Events{Char: p.char, State: p.state})
		},
	})
}

// rttyPrinter prints radioteletype.
type rttyPrinter struct {
	*textReceiver
	table bool
}

// rttyEvent is a JSON object: a character, or a state, which has no text.
type rttyEvent struct {
	textEvent
	Text       string   `json:"text,omitempty"`
	AfterShift bool     `json:"after_shift,omitempty"`
	Confidence *float64 `json:"confidence,omitempty"`
	CentreHz   float64  `json:"centre_hz,omitempty"`
	AirHz      float64  `json:"air_hz,omitempty"` // of the middle of the tones, if the dial is known
	ShiftHz    float64  `json:"shift_hz,omitempty"`
	Baud       float64  `json:"baud,omitempty"`
	Mark       string   `json:"mark,omitempty"`
	Alphabet   string   `json:"alphabet,omitempty"`
	SNR        *float64 `json:"snr_db,omitempty"`
}

func (p *rttyPrinter) char(c rtty.Char) {
	sure := rounded(c.Confidence, 1000)
	p.textReceiver.char(0, "", string(c.Rune), c.Confidence, c.At, rttyEvent{
		textEvent: p.event("char", c.At), Text: string(c.Rune), AfterShift: c.AfterShift, Confidence: &sure,
	})
}

func (p *rttyPrinter) state(s rtty.State) {
	mark := "lower"
	if s.Polarity == rtty.MarkHigher {
		mark = "higher"
	}
	if p.json {
		e := rttyEvent{textEvent: p.event("lost", s.At)}
		if s.Receiving {
			e.Event = "signal"
			snr := rounded(s.SNR, 10)
			e.CentreHz, e.ShiftHz, e.Baud, e.SNR = rounded(s.CentreHz, 10), rounded(s.ShiftHz, 10), rounded(s.Baud, 100), &snr
			e.Mark, e.Alphabet, e.AirHz = mark, s.Alphabet.String(), p.onAir(s.CentreHz)
		}
		p.object(e)
		return
	}
	if !s.Receiving || p.table { // do not break into a line of text
		p.lines.EndSignal(0)
	}
	if !p.table {
		return
	}
	what := "lost"
	if s.Receiving {
		what = fmt.Sprintf("%6.1f Hz  shift %5.1f Hz  %6.2f Bd  mark %s  %s  %5.1f dB", s.CentreHz, s.ShiftHz, s.Baud, mark, s.Alphabet, s.SNR)
	}
	p.lines.Print(fmt.Sprintf("* %s  %s\n", p.time(s.At).UTC().Format("15:04:05Z"), what))
}

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/cw"
	"ionoscribe/demod"
	"ionoscribe/internal/audio"
)

type cwOptions struct {
	sourceOptions
	textOptions
	pitch float64
	wpm   float64
	all   bool
	table bool
}

func newCWCommand() *cobra.Command {
	var o cwOptions
	cmd := &cobra.Command{
		Use:   "cw [flags] SOURCE...",
		Short: "Print Morse code",
		Long: `Print Morse code from recordings or from what a pipe brings; pitch and speed are found and followed.

SOURCE is a WAV or FLAC file, or - for standard input (WAV, FLAC, or raw samples with --rate and
--encoding). One signal is printed as it is heard, some characters late; when it has ended, the next. With
--all every signal from 200 to 3500 Hz is, in lines that begin with its pitch.

Procedure signals are written in angle brackets, with a line over the letters that are run together.

Whether and what you may receive and pass on differs by country.

Exit status: 0 all is well, 1 something could not be read or written (what was received is printed), 2 the
command line is wrong, 3 no text was received, 130 interrupted (what was received is printed).`,
		Example: `  ionoscribe cw recording.wav
  ionoscribe cw --all --log morse.txt recording.wav
  arecord -f S16_LE -r 12000 -t wav | ionoscribe cw -`,
		Args: cobra.MinimumNArgs(1),
	}
	cmd.RunE = func(c *cobra.Command, sources []string) error {
		return runCW(c.Context(), o, sources, c.InOrStdin(), c.OutOrStdout())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *cwOptions) addFlags(f *pflag.FlagSet) {
	f.Float64Var(&o.pitch, "pitch", 0, "`HZ` of the signal, 200 to 3500, to within 30 (default: found out)")
	f.Float64Var(&o.wpm, "wpm", 0, "`SPEED` in words a minute, 5 to 60, to within a quarter (default: found out)")
	f.BoolVar(&o.all, "all", false, "print every signal")
	f.BoolVar(&o.table, "table", false, "print, in lines that begin with a star, which signals there are as they come, change and go")
	o.textOptions.addFlags(f)
	o.sourceOptions.addFlags(f)
}

// config is complete but for the sample rate.
func (o cwOptions) config() (cw.Config, error) {
	c := cw.Config{PitchHz: o.pitch, WPM: o.wpm}
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
	if o.start != "" && len(sources) > 1 {
		return usageError{errors.New("--start is the time of one source, but there are several; give them one by one")}
	}
	a, err := o.audio(in)
	if err != nil {
		return err
	}
	c, err := o.config()
	if err != nil {
		return err
	}
	text := out
	if o.json {
		text = io.Discard // there it is for the log alone
	}
	lines, closeLog, err := newTextLines(o.textOptions, o.all, text)
	if err != nil {
		return err
	}
	p := cwPrinter{cwOptions: o, lines: lines, out: out}
	var errs []error
	for _, path := range sources {
		err := p.receive(ctx, path, a, c)
		errs = append(errs, err)
		if errors.Is(err, errInterrupted) || lines.err != nil {
			break
		}
	}
	errs = append(errs, lines.err, closeLog())
	if err := errors.Join(errs...); err != nil || p.chars > 0 {
		return err
	}
	return fmt.Errorf("%w from %s; check the receiver's tuning and the level of the audio", errNoText, strings.Join(sources, ", "))
}

// cwPrinter prints what is received from one source after the other.
type cwPrinter struct {
	cwOptions
	lines  *textLines
	out    io.Writer
	source string
	start  time.Time
	rate   demod.Rate
	chars  int
}

// receive decodes a source; what was received before an error or an interruption is printed.
func (p *cwPrinter) receive(ctx context.Context, path string, a audio.Options, c cw.Config) error {
	s, err := openStream(ctx, path, a)
	if err != nil {
		return err
	}
	p.source, p.start, p.rate = path, s.source.Start(), demod.Rate(s.source.SampleRate())
	c.SampleRate = s.source.SampleRate()
	d, err := cw.New(c, cw.Events{Char: p.char, State: p.state})
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	err = s.each(ctx, func(block []float32) {
		d.Write(block)
		if p.lines.err != nil {
			stop(p.lines.err)
		}
	})
	d.Flush()
	p.lines.endAll()
	if p.lines.err != nil {
		return nil // reported once, by the caller
	}
	return err
}

func (p *cwPrinter) time(at int64) time.Time { return p.start.Add(p.rate.Duration(at)) }

// cwEvent is a JSON object: a character, or a state, which has no text.
type cwEvent struct {
	Source     string   `json:"source"`
	Event      string   `json:"event"`
	Signal     int      `json:"signal"`
	UTC        string   `json:"utc"`
	Seconds    float64  `json:"seconds"` // from the first sample of the source
	Text       string   `json:"text,omitempty"`
	Procedure  string   `json:"procedure,omitempty"`
	Confidence *float64 `json:"confidence,omitempty"`
	PitchHz    float64  `json:"pitch_hz"`
	WPM        float64  `json:"wpm"`
	SNR        *float64 `json:"snr_db,omitempty"`
	Weighting  float64  `json:"weighting,omitempty"`
	DashRatio  float64  `json:"dash_ratio,omitempty"`
}

func (p *cwPrinter) event(kind string, signal int, at int64, pitch, wpm float64) cwEvent {
	return cwEvent{Source: p.source, Event: kind, Signal: signal, UTC: p.time(at).UTC().Format("2006-01-02T15:04:05.000Z"),
		Seconds: rounded(p.rate.Duration(at).Seconds(), 1000), PitchHz: rounded(pitch, 10), WPM: rounded(wpm, 10)}
}

func rounded(v, by float64) float64 { return math.Round(v*by) / by }

func (p *cwPrinter) char(c cw.Char) {
	p.chars++
	label := fmt.Sprintf("%6.1f Hz", c.PitchHz)
	if !p.json {
		p.lines.char(c.Signal, label, c.Text, c.Confidence, p.time(c.At))
		return
	}
	e := p.event("char", c.Signal, c.At, c.PitchHz, c.WPM)
	sure := rounded(c.Confidence, 1000)
	e.Text, e.Procedure, e.Confidence = c.Text, c.Procedure, &sure
	p.object(e)
	if p.lines.log != nil {
		p.lines.char(c.Signal, label, c.Text, c.Confidence, p.time(c.At))
	}
}

func (p *cwPrinter) state(s cw.State) {
	if p.json {
		kind := "signal"
		if !s.Receiving {
			kind = "lost"
		}
		e := p.event(kind, s.Signal, s.At, s.PitchHz, s.WPM)
		snr := rounded(s.SNR, 10)
		e.SNR, e.Weighting, e.DashRatio = &snr, rounded(s.Weighting, 100), rounded(s.DashRatio, 100)
		p.object(e)
		return
	}
	if !s.Receiving {
		p.lines.endSignal(s.Signal)
	}
	if !p.table {
		return
	}
	if !p.all { // do not break into a line of text
		p.lines.endSignal(s.Signal)
	}
	what := fmt.Sprintf("%4.1f words/min  %5.1f dB  dashes of %.1f dots", s.WPM, s.SNR, s.DashRatio)
	if !s.Receiving {
		what = "lost"
	}
	p.lines.write(p.out, fmt.Sprintf("* %s  signal %d  %6.1f Hz  %s\n", p.time(s.At).UTC().Format("15:04:05Z"), s.Signal, s.PitchHz, what))
}

func (p *cwPrinter) object(e cwEvent) {
	b, err := json.Marshal(e)
	if err != nil { // cannot be: all its numbers are finite
		p.lines.err = err
		return
	}
	p.lines.write(p.out, string(b)+"\n")
}

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image/png"
	"io"
	"math"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/demod"
	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/survey"
	"ionoscribe/rtty"
)

type surveyOptions struct {
	passbandOptions
	json    bool
	picture string
}

var errNoSignal = errors.New("no transmission was found")

func newSurveyCommand() *cobra.Command {
	var o surveyOptions
	cmd := &cobra.Command{
		Use:   "survey [flags] SOURCE",
		Short: "Find what is in a passband",
		Long: `Find every transmission in a recording or in what a pipe brings: when and where it is, whether it is a fax, a
teleprinter, Morse, a steady carrier or something else, its settings, and how strong it is. A line is written
when a transmission has ended.

SOURCE is a recording (WAV, W64, AIFF, FLAC, MP3, Ogg Vorbis, Opus, SigMF or raw samples, known by what is in
it), or - for the same from standard input. With --iq the whole band is
searched. Frequencies are those of the audio or from the centre of the band, or with --dial those on the air: that of a fax is its
sub-carrier, that of a teleprinter the middle of its tones. SNR is over the noise in 2500 Hz, of Morse with the
key down. The picture shows strength by time and frequency, with a frame around each transmission.

` + statusHelp,
		Example: `  ionoscribe survey night.flac
  ionoscribe survey --picture night.png --dial 7878100 night.flac
  arecord -f S16_LE -r 12000 -t wav | ionoscribe survey --json -`,
		Args: cobra.ExactArgs(1),
	}
	cmd.RunE = func(c *cobra.Command, sources []string) error {
		o.notes = c.ErrOrStderr()
		return runSurvey(c.Context(), o, sources[0], c.InOrStdin(), c.OutOrStdout())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *surveyOptions) addFlags(f *pflag.FlagSet) {
	under(whereTo, f, func(f *pflag.FlagSet) {
		f.BoolVar(&o.json, "json", false, "write a JSON object a line for each transmission instead of the table")
		f.StringVar(&o.picture, "picture", "", "draw a spectrogram into `FILE`, a PNG")
	})
	o.passbandOptions.addFlags(f)
}

func (o surveyOptions) check() error {
	if err := o.passbandOptions.check(); err != nil {
		return err
	}
	return nil
}

func runSurvey(ctx context.Context, o surveyOptions, path string, in io.Reader, out io.Writer) error {
	if err := o.check(); err != nil {
		return err
	}
	a, err := o.opening(in)
	if err != nil {
		return err
	}
	if o.picture != "" {
		if err := placeFor(o.picture, path); err != nil {
			return err
		}
	}
	w := &surveyWriter{surveyOptions: o, out: out, source: path}
	p, err := openPassband(ctx, path, a)
	if err != nil {
		return err
	}
	w.passbandOptions = o.tuned(p)
	w.at, w.rate = p, demod.Rate(p.SampleRate())
	s, err := survey.New(survey.Config{SampleRate: p.SampleRate(), IQ: p.iq != nil}, survey.Events{Ended: w.ended})
	if err != nil {
		return err
	}
	var picture *survey.Picture
	if o.picture != "" {
		picture = s.Picture()
	}
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	err = p.each(ctx, s, func(int) {
		if w.err != nil && picture == nil {
			stop(w.err) // no one gets to know any more
		}
	})
	s.Flush()
	if w.err != nil && errors.Is(err, errInterrupted) && picture == nil {
		err = nil // it was that
	}
	err = errors.Join(err, w.err)
	if picture != nil {
		m := picture.Image(survey.Axes{Title: filepath.Base(path), Start: p.Time(0), Hz: w.onAir})
		err = errors.Join(err, chartfile.WriteFile(o.picture, func(w io.Writer) error { return png.Encode(w, m) }))
	}
	if err == nil && w.found == 0 {
		return fmt.Errorf("%w in %s; check the receiver's tuning and the level of the audio", errNoSignal, path)
	}
	return err
}

// surveyWriter writes findings.
type surveyWriter struct {
	surveyOptions
	out    io.Writer
	source string
	at     timed
	rate   demod.Rate
	found  int
	err    error
}

// surveyEvent is a JSON object.
type surveyEvent struct {
	begin, end time.Time

	Source     string  `json:"source"`
	Kind       string  `json:"kind"`
	Begin      string  `json:"begin_utc"`
	End        string  `json:"end_utc"`
	TimeFrom   string  `json:"time_from"` // how the time of the recording is known
	DialFrom   string  `json:"dial_from,omitempty"`
	Seconds    float64 `json:"begin_seconds"` // from the first sample of the source
	Length     float64 `json:"length_seconds"`
	Hz         float64 `json:"hz"`
	LowHz      float64 `json:"low_hz"`
	HighHz     float64 `json:"high_hz"`
	SNR        float64 `json:"snr_db"`
	Confidence float64 `json:"confidence"`
	Baud       float64 `json:"baud,omitempty"`
	ShiftHz    float64 `json:"shift_hz,omitempty"`
	Mark       string  `json:"mark,omitempty"` // the tone that is mark, on the air if the dial is known
	Alphabet   string  `json:"alphabet,omitempty"`
	WPM        float64 `json:"wpm,omitempty"`
	LPM        float64 `json:"lpm,omitempty"`
	IOC        int     `json:"ioc,omitempty"`
}

const surveyHeader = "begin (UTC)          end       frequency, Hz  kind         SNR, dB  details"

func (w *surveyWriter) ended(f survey.Finding) {
	e := w.event(w.source, w.at, w.rate, f)
	line := ""
	if w.json {
		b, err := json.Marshal(e)
		if err != nil && w.err == nil {
			w.err = err
		}
		line = string(b)
	} else {
		if w.found == 0 {
			w.write(surveyHeader)
		}
		line = fmt.Sprintf("%s  %s  %13.0f  %-11s  %7.1f  %s", e.begin.Format("2006-01-02 15:04:05"), e.end.Format("15:04:05"), e.Hz, f.Kind, f.SNR, details(f, e.Mark))
	}
	w.found++
	w.write(line)
}

// timed is what knows when each of its samples was, and how.
type timed interface {
	Time(sample int64) time.Time // UTC
	StartFrom() string
}

// event tells of a finding in a source.
func (o passbandOptions) event(source string, at timed, rate demod.Rate, f survey.Finding) surveyEvent {
	const form = "2006-01-02T15:04:05.0Z"
	begin, end := at.Time(f.Begin).UTC(), at.Time(f.End).UTC()
	low, high := o.onAir(f.LowHz), o.onAir(f.HighHz)
	e := surveyEvent{
		begin: begin, end: end, Source: source, Kind: f.Kind.String(), Begin: begin.Format(form), End: end.Format(form), TimeFrom: at.StartFrom(), DialFrom: o.dialFrom,
		Seconds: rounded(rate.Duration(f.Begin).Seconds(), 10), Length: rounded(end.Sub(begin).Seconds(), 10),
		Hz: rounded(o.onAir(f.Hz), 10), LowHz: rounded(min(low, high), 10), HighHz: rounded(max(low, high), 10), SNR: rounded(f.SNR, 10),
		Confidence: rounded(f.Confidence, 100), Baud: rounded(f.Baud, 100), ShiftHz: rounded(f.ShiftHz, 10),
		WPM: rounded(f.WPM, 10), LPM: f.LPM, IOC: f.IOC,
	}
	if f.Kind == survey.Teleprinter {
		e.Alphabet, e.Mark = f.Alphabet.String(), "lower"
		if (f.Polarity == rtty.MarkHigher) != (o.dial != 0 && o.sideband == "lower") {
			e.Mark = "higher"
		}
	}
	return e
}

func (w *surveyWriter) write(line string) {
	if w.err == nil {
		w.err = printLine(w.out, line)
	}
}

// details are the settings of a finding.
func details(f survey.Finding, mark string) string {
	switch f.Kind {
	case survey.Teleprinter:
		return fmt.Sprintf("%.4g Bd, shift %.0f Hz, mark %s, %v", f.Baud, f.ShiftHz, mark, f.Alphabet)
	case survey.Morse:
		return fmt.Sprintf("%.0f words a minute", f.WPM)
	case survey.Fax:
		lines := "line rate unknown"
		if f.LPM != 0 {
			lines = fmt.Sprintf("%g lines a minute", f.LPM)
		}
		return fmt.Sprintf("%s, index %d", lines, f.IOC)
	case survey.Other:
		return fmt.Sprintf("%.0f Hz wide", math.Abs(f.HighHz-f.LowHz))
	}
	return ""
}

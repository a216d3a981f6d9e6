package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image/png"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/filing"
	"ionoscribe/internal/flags"
	"ionoscribe/survey"
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
		Long: `Find every transmission in a recording or in what a pipe brings: when and where it is, whether it is a fax,
` + strings.Join(titles(modesThat(printsText)), ", ") + `, a steady carrier or something else, its settings, and how strong it is. A line is written
when a transmission has ended.

SOURCE is a recording (WAV, W64, AIFF, FLAC, MP3, Ogg Vorbis, Opus, SigMF or raw samples, known by what is in
it), or - for the same from standard input. With --iq the whole band is
searched. Frequencies are those of the audio or from the centre of the band, or with --dial those on the air: that of a fax is its
sub-carrier, that of radioteletype the middle of its tones. SNR is over the noise in 2500 Hz, of Morse with the
key down. The picture shows strength by time and frequency, with a frame around each transmission.

` + statusHelp,
		Example: `  ionoscribe survey night.flac
  ionoscribe survey --picture night.png --dial 7878.1kHz night.flac
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
	flags.Under(flags.WhereTo, f, func(f *pflag.FlagSet) {
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

func runSurvey(ctx context.Context, o surveyOptions, name string, in io.Reader, out io.Writer) error {
	if err := o.check(); err != nil {
		return err
	}
	own, err := o.open(name, in)
	if err != nil {
		return err
	}
	if o.picture != "" {
		if err := placeFor(o.picture, own.path); err != nil {
			return err
		}
	}
	w := &surveyWriter{surveyOptions: o, out: out}
	p, err := openPassband(ctx, own.path, own.opening)
	if err != nil {
		return err
	}
	w.source = own.filed(p, name, own.path)
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
	err = p.each(ctx, s, func(int, int64) {
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
		m := picture.Image(survey.Axes{Title: filepath.Base(name), Start: p.Time(0), Hz: w.source.OnAir})
		err = errors.Join(err, chartfile.WriteFile(o.picture, func(w io.Writer) error { return png.Encode(w, m) }))
	}
	if err == nil && w.found == 0 {
		return fmt.Errorf("%w in %s; check the receiver's tuning and the level of the audio", errNoSignal, name)
	}
	return err
}

// surveyWriter writes findings.
type surveyWriter struct {
	surveyOptions
	out    io.Writer
	source *filing.Source
	found  int
	err    error
}

const surveyHeader = "begin                 end                   frequency, Hz  kind     SNR, dB  details"

func (w *surveyWriter) ended(f survey.Finding) {
	line := ""
	if w.json {
		b, err := json.Marshal(w.source.Finding(f))
		if err != nil && w.err == nil {
			w.err = err
		}
		line = string(b)
	} else {
		if w.found == 0 {
			w.write(surveyHeader)
		}
		line = fmt.Sprintf("%s  %s  %13.0f  %-7s  %7.1f  %s", w.source.Time(f.Begin).UTC().Format(filing.TimeForm), w.source.Time(f.End).UTC().Format(filing.TimeForm), w.source.OnAir(f.Hz), f.Kind, f.SNR, w.source.Details(f))
	}
	w.found++
	w.write(line)
}

func (w *surveyWriter) write(line string) {
	if w.err == nil {
		w.err = printLine(w.out, line)
	}
}

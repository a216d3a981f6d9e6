package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/audio"
	"ionoscribe/copydesk"
	"ionoscribe/demod"
	"ionoscribe/internal/filing"
	"ionoscribe/internal/flags"
)

type copyOptions struct {
	passbandOptions
	archived fromArchiveOptions
	out      string
	json     bool
	doubt    float64
}

func newCopyCommand() *cobra.Command {
	var o copyOptions
	cmd := &cobra.Command{
		Use:   "copy [flags] SOURCE...",
		Short: "Find and copy everything in a passband",
		Long: `Find every transmission in a passband and copy it: charts as PNG, ` + inWords(titles(modesThat(printsText)), "and") + ` as text, each from its
beginning to its end. Each text has a file of its own in the folder, named after its beginning in UTC, its
frequency, its kind and its source; it grows as text comes. A chart that is coming in is shown by a file named
arriving, drawn anew from time to time; if the program is killed meanwhile, the next start saves what had come.
Standard output gets a line for each transmission that begins and ends, each line of text and each chart, after how
far the source has been heard, and at the end a summary. The same recording again makes the same files.

SOURCE is a recording (WAV, W64, AIFF, FLAC, MP3, Ogg Vorbis, Opus, SigMF or raw samples, known by what is in
it), - for the same from standard input, device:NAME, rtp://ADDRESS:PORT or tcp://HOST:PORT; several are
listened to at the same time, and may carry settings of their own: night.wav?channel=right&dial=4610kHz. With
--iq all of their band is copied. The program runs until the sources end or
it is interrupted or its terminal is closed, which nohup prevents; files may be moved away while it does.

With --from-archive, the sound that a station has kept takes the place of SOURCE.

Received charts are not for navigation: check official sources. Whether and what you may receive and
pass on differs by country.

` + statusHelp,
		Example: `  ionoscribe copy --out night night.flac
  ionoscribe copy --dial 7038.5kHz --iq normal band.wav
  arecord -f S16_LE -r 12000 -t wav | ionoscribe copy -
  ionoscribe copy --from-archive north --between 2026-03-04T06:00,2026-03-04T06:30`,
	}
	cmd.RunE = func(c *cobra.Command, sources []string) error {
		if listsDevices(sources) {
			return printDevices(c.OutOrStdout())
		}
		o.notes = &sharedWriter{w: c.ErrOrStderr()}
		sources, err := o.archived.sources(sources)
		if err != nil {
			return err
		}
		return runCopy(c.Context(), o, sources, c.InOrStdin(), c.OutOrStdout(), newProgress(c.ErrOrStderr()))
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *copyOptions) addFlags(f *pflag.FlagSet) {
	flags.Under(flags.WhereTo, f, func(f *pflag.FlagSet) {
		f.StringVarP(&o.out, "out", "o", "copies", "`FOLDER` for charts and texts")
		f.BoolVar(&o.json, "json", false, "write a JSON object a line for each event: began, changed, text (a line), line (of a chart that is coming in), chart, ended, gap, trouble")
		f.Float64Var(&o.doubt, "mark-doubt", 0, "put characters whose `CONFIDENCE`, 0 to 1, is lower between ⌊ and ⌋")
	})
	o.passbandOptions.addFlags(f)
	flags.Under(flags.WhereFrom, f, o.archived.addFlags)
}

func runCopy(ctx context.Context, o copyOptions, sources []string, in io.Reader, out io.Writer, p *progress) error {
	text := textOptions{doubt: o.doubt}
	if err := errors.Join(o.check(), text.check()); err != nil {
		return err
	}
	if err := o.checkSources(sources); err != nil {
		return err
	}
	own := make([]ownPassband, len(sources))
	paths := make([]string, len(sources))
	for i, source := range sources {
		var err error
		if own[i], err = o.open(source, in); err != nil {
			return err
		}
		paths[i] = own[i].path
	}
	w := &copyWriter{copyOptions: o, progress: p}
	if len(sources) > 1 { // one line cannot show several
		w.progress = nil
	}
	clearing := clearingWriter{out, w.progress}
	w.console = filing.Console{Labelled: len(sources) > 1}
	if !o.json {
		w.console.Out = clearing
	}
	w.json = filing.JSON{Out: clearing}
	w.folder = filing.Folder{Dir: o.out, Doubt: o.doubt, Trouble: newTrouble(o.notes, w.progress), Tell: w.tell}
	if err := w.folder.Open(paths); err != nil {
		return err
	}
	w.stream.Listen(w.folder.Hear)
	errs := make([]error, len(sources))
	var all sync.WaitGroup
	for i, name := range sources {
		all.Go(func() { errs[i] = w.source(ctx, name, own[i]) })
	}
	all.Wait()
	saved := w.folder.Close()
	if w.console.Kinds() != "" {
		w.console.Print(w.console.Summary(w.length, o.out))
	}
	interrupted := func(e error) bool { return errors.Is(e, errInterrupted) }
	if slices.ContainsFunc(errs, interrupted) { // all were, at the same time
		errs = append(slices.DeleteFunc(errs, interrupted), fmt.Errorf("%w; what was copied is saved in %s", errInterrupted, o.out))
	}
	err := errors.Join(errors.Join(errs...), saved, w.outputError())
	if err == nil && w.console.Copied() == 0 {
		return w.nothing(sources)
	}
	return err
}

// nothing says that nothing was copied, and why.
func (w *copyWriter) nothing(sources []string) error {
	if kinds := w.console.Kinds(); kinds != "" {
		return fmt.Errorf("%w in %s, but %s", errNothingToCopy, strings.Join(sources, ", "), kinds)
	}
	return fmt.Errorf("%w in %s; check the receiver's tuning and the level of the audio", errNoSignal, strings.Join(sources, ", "))
}

var errNothingToCopy = fmt.Errorf("%w that can be copied", errNoSignal)

// copyWriter copies all sources. What is below the stream is used by Stream.Do or a listener alone.
type copyWriter struct {
	copyOptions
	progress *progress // nil: not shown
	stream   copydesk.Stream

	folder  filing.Folder
	console filing.Console
	json    filing.JSON
	length  time.Duration // of the longest source
}

// tell tells of a report; the console counts too where it is silent.
func (w *copyWriter) tell(r filing.Report) {
	if w.copyOptions.json {
		w.json.Tell(r)
	}
	w.console.Tell(r)
}

func (w *copyWriter) outputError() error {
	err := w.console.Err
	if w.copyOptions.json {
		err = w.json.Err
	}
	if err == nil {
		return nil
	}
	return fmt.Errorf("%w; files are in %s all the same", outputError(err), w.out)
}

// open opens a source, or what an archive has in its place.
func (w *copyWriter) open(ctx context.Context, o ownPassband) (*passband, error) {
	if w.archived.ordered() {
		return w.archived.open(ctx)
	}
	return openPassband(ctx, o.path, o.opening)
}

// source copies a source; it returns when that ends.
func (w *copyWriter) source(ctx context.Context, name string, o ownPassband) error {
	p, err := w.open(ctx, o)
	if err != nil {
		return err
	}
	w.stream.Do(func() { w.folder.Add(o.filed(p, name, o.path)) })
	desk, err := copydesk.New(copydesk.Config{Source: name, SampleRate: p.SampleRate(), IQ: p.iq != nil, Time: p.Time, Live: audio.IsLive(o.path)}, &w.stream)
	if err != nil {
		return err
	}
	if w.progress != nil {
		w.progress.begin(name, p.Length(), p.SampleRate())
	}
	total := int64(0)
	err = p.each(ctx, desk, func(n int, lost int64) {
		total += int64(n)
		desk.Lost(lost)
		w.stream.Do(func() {
			w.folder.Save(name, desk)
			if w.progress != nil {
				w.progress.doing = fmt.Sprintf("copying %d", len(desk.Copies()))
				w.progress.add(n)
			}
		})
	})
	desk.Flush()
	w.stream.Do(func() {
		if w.progress != nil {
			w.progress.clear()
		}
		w.length = max(w.length, demod.Rate(p.SampleRate()).Duration(total))
	})
	return err
}

// clearingWriter writes lines in the place of the progress.
type clearingWriter struct {
	io.Writer
	progress *progress
}

func (w clearingWriter) Write(b []byte) (int, error) {
	if w.progress != nil {
		w.progress.clear()
	}
	return w.Writer.Write(b)
}

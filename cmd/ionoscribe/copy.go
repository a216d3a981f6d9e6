package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/demod"
	"ionoscribe/fax"
	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/copydesk"
	"ionoscribe/internal/survey"
)

type copyOptions struct {
	passbandOptions
	out   string
	json  bool
	doubt float64
}

func newCopyCommand() *cobra.Command {
	var o copyOptions
	cmd := &cobra.Command{
		Use:   "copy [flags] SOURCE...",
		Short: "Find and copy everything in a passband",
		Long: `Find every transmission in a passband and copy it: charts as PNG, radioteletype and Morse as text, each from its
beginning to its end. Each text has a file of its own in the folder, named after its beginning in UTC, its kind
and its frequency; it grows as text comes. A chart that is coming in is shown by a file named arriving, drawn
anew from time to time; if the program is killed meanwhile, the next start saves what had come. Standard output gets the lines of text, under a heading whenever the transmission is
another one, the paths of charts, and at the end a summary.

SOURCE is a recording (WAV, W64, AIFF, FLAC, MP3, Ogg Vorbis, Opus, SigMF or raw samples, known by what is in
it), - for the same from standard input, device:NAME, rtp://ADDRESS:PORT or tcp://HOST:PORT; several are
listened to at the same time. With --iq all of their band is copied. The program runs until the sources end or
it is interrupted or its terminal is closed, which nohup prevents; files may be moved away while it does.

Received charts are not for navigation: check official sources. Whether and what you may receive and
pass on differs by country.

` + statusHelp,
		Example: `  ionoscribe copy --out night night.flac
  ionoscribe copy --dial 7038500 --iq normal band.wav
  arecord -f S16_LE -r 12000 -t wav | ionoscribe copy -`,
		Args: cobra.MinimumNArgs(1),
	}
	cmd.RunE = func(c *cobra.Command, sources []string) error {
		if listsDevices(sources) {
			return printDevices(c.OutOrStdout())
		}
		o.notes = &sharedWriter{w: c.ErrOrStderr()}
		return runCopy(c.Context(), o, sources, c.InOrStdin(), c.OutOrStdout(), newProgress(c.ErrOrStderr()))
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *copyOptions) addFlags(f *pflag.FlagSet) {
	under(whereTo, f, func(f *pflag.FlagSet) {
		f.StringVarP(&o.out, "out", "o", "copies", "`FOLDER` for charts and texts")
		f.BoolVar(&o.json, "json", false, "write a JSON object a line for each line of text, each chart, and each transmission when it has ended")
		f.Float64Var(&o.doubt, "mark-doubt", 0, "put characters whose `CONFIDENCE`, 0 to 1, is lower between ⌊ and ⌋")
	})
	o.passbandOptions.addFlags(f)
}

func runCopy(ctx context.Context, o copyOptions, sources []string, in io.Reader, out io.Writer, p *progress) error {
	text := textOptions{doubt: o.doubt}
	if err := errors.Join(o.check(), text.check()); err != nil {
		return err
	}
	if err := o.checkSources(sources); err != nil {
		return err
	}
	a, err := o.opening(in)
	if err != nil {
		return err
	}
	if err := chartfile.Prepare(o.out); err != nil {
		return err
	}
	w := &copyWriter{copyOptions: o, out: out, labelled: len(sources) > 1, progress: p, trouble: &trouble{notes: o.notes}}
	if !w.labelled { // else no progress is shown
		w.trouble.progress = p
	}
	adopted := newChartKeeper(o.out, false, w.trouble).adopt(sources, w.adopted)
	errs := make([]error, len(sources))
	var all sync.WaitGroup
	for i, path := range sources {
		all.Go(func() { errs[i] = w.source(ctx, path, a) })
	}
	all.Wait()
	w.summary()
	interrupted := func(e error) bool { return errors.Is(e, errInterrupted) }
	if slices.ContainsFunc(errs, interrupted) { // all were, at the same time
		errs = append(slices.DeleteFunc(errs, interrupted), fmt.Errorf("%w; what was copied is saved in %s", errInterrupted, o.out))
	}
	err = errors.Join(adopted, errors.Join(errs...), w.err)
	if err == nil && w.copied == 0 {
		return w.nothing(sources)
	}
	return err
}

// nothing says that nothing was copied, and why.
func (w *copyWriter) nothing(sources []string) error {
	if kinds := w.kinds(); kinds != "" {
		return fmt.Errorf("%w in %s, but %s", errNothingToCopy, strings.Join(sources, ", "), kinds)
	}
	return fmt.Errorf("%w in %s; check the receiver's tuning and the level of the audio", errNoSignal, strings.Join(sources, ", "))
}

var errNothingToCopy = fmt.Errorf("%w that can be copied", errNoSignal)

// copyWriter writes what is copied from all sources.
type copyWriter struct {
	copyOptions
	labelled bool // there is more than one source
	progress *progress
	trouble  *trouble

	mutex      sync.Mutex // of all below
	out        io.Writer  // nil after an error
	err        error      // of the first write that failed
	heading    string     // written last
	copied     int
	count      map[survey.Kind]int
	charts     int
	characters int
	length     time.Duration // of the longest source
}

// copySource is one source and what is being copied from it.
type copySource struct {
	*copyWriter
	air   passbandOptions // of this source
	path  string
	at    timed
	rate  demod.Rate
	desk  *copydesk.Desk
	texts map[*copydesk.Copy]*transcript
	// unsaved are transmissions that have ended whose text is not all in their files yet.
	unsaved []unsaved

	keeper   *chartKeeper
	arriving map[*copydesk.Copy]*arrival
	drawn    time.Time // when the charts that are coming in were drawn
}

// source copies a source; it returns when that ends.
func (w *copyWriter) source(ctx context.Context, path string, o opening) error {
	p, err := openPassband(ctx, path, o)
	if err != nil {
		return err
	}
	s := &copySource{copyWriter: w, air: w.tuned(p), path: path, at: p, rate: demod.Rate(p.SampleRate()),
		texts: map[*copydesk.Copy]*transcript{}, keeper: newChartKeeper(w.copyOptions.out, false, w.trouble),
		arriving: map[*copydesk.Copy]*arrival{}, drawn: time.Now()}
	s.desk, err = copydesk.New(copydesk.Config{SampleRate: p.SampleRate(), IQ: p.iq != nil},
		copydesk.Events{Text: s.text, Chart: s.chart, Ended: s.ended, Found: s.found})
	if err != nil {
		return err
	}
	progress := w.progress
	if w.labelled {
		progress = newProgress(nil) // one line cannot show several
	}
	progress.begin(path, p.Length(), p.SampleRate())
	total := int64(0)
	err = p.each(ctx, s.desk, func(n int) {
		total += int64(n)
		for _, t := range s.texts {
			t.save()
		}
		s.retry()
		s.arrive()
		s.keeper.retry()
		progress.doing = fmt.Sprintf("copying %d", len(s.desk.Copies()))
		progress.add(n)
	})
	s.desk.Flush()
	progress.clear()
	s.close()
	err = errors.Join(err, s.keeper.close())
	w.mutex.Lock()
	defer w.mutex.Unlock()
	w.length = max(w.length, s.rate.Duration(total))
	return err
}

func (s *copySource) time(at int64) time.Time { return s.at.Time(at).UTC() }

// title is the heading of a transmission.
func (s *copySource) title(c *copydesk.Copy) string {
	e := s.air.event(s.path, s.at, s.rate, c.Finding)
	title := fmt.Sprintf("%s  %s  %s, %s", s.time(c.Finding.Begin).Format("2006-01-02 15:04:05Z"), s.frequency(c, " "), e.Kind, details(c.Finding, e.Mark))
	if s.labelled {
		title += "  " + oneLine(s.path)
	}
	return title
}

// frequency is that on the air in kHz, if it is known, or in the audio in Hz.
func (s *copySource) frequency(c *copydesk.Copy, space string) string {
	hz := s.air.onAir(c.Finding.Hz)
	if s.air.dial == 0 {
		return fmt.Sprintf("%.0f%sHz", hz, space)
	}
	return fmt.Sprintf("%.2f%skHz", hz/1000, space)
}

// name is that of a transmission's files, without suffix.
func (s *copySource) name(c *copydesk.Copy) string {
	return fmt.Sprintf("%s-%s-%s", s.time(c.Finding.Begin).Format("20060102T150405Z"), c.Finding.Kind, s.frequency(c, ""))
}

// copyLine is a JSON object of a line of text.
type copyLine struct {
	Source string  `json:"source"`
	Event  string  `json:"event"` // text
	Kind   string  `json:"kind"`
	UTC    string  `json:"utc"`
	Hz     float64 `json:"hz"`
	Text   string  `json:"text"`
}

func (s *copySource) text(c *copydesk.Copy, x copydesk.Text) {
	t := s.texts[c]
	if t == nil {
		title := s.title(c)
		t = newTranscript(s.copyOptions.out, s.name(c), title, s.doubt, s.trouble, func(at, text string) {
			s.print(title, at+"  "+text, copyLine{s.path, "text", c.Finding.Kind.String(), at, rounded(s.air.onAir(c.Finding.Hz), 10), text})
		})
		s.texts[c] = t
	}
	t.char(x.Text, x.Confidence, s.time(x.At))
}

// copyChart is a JSON object of a chart.
type copyChart struct {
	Event string  `json:"event"` // chart
	Hz    float64 `json:"hz"`
	report
}

func (s *copySource) chart(c *copydesk.Copy, ch *fax.Chart) {
	chart := chartfile.New(ch, s.at.Time, s.at.StartFrom())
	var came *chartfile.Arriving
	if r := s.arriving[c]; r != nil {
		came = r.take()
	}
	title, hz := s.title(c), rounded(s.air.onAir(c.Finding.Hz), 10)
	s.keeper.save(chart, came, func(picture, video string) { s.saved(title, hz, s.path, chart, picture, video) })
}

// adopted tells of a chart that an earlier run, which was killed, was receiving.
func (w *copyWriter) adopted(a chartfile.Adopted) {
	w.saved(a.Chart.Start.Format("2006-01-02 15:04:05Z")+"  fax, left over", 0, a.Source, a.Chart, a.Picture, a.Video)
}

// saved tells of a chart that is saved.
func (w *copyWriter) saved(title string, hz float64, source string, c *chartfile.Chart, picture, video string) {
	w.mutex.Lock()
	w.charts++
	w.mutex.Unlock()
	w.print(title, picture, copyChart{"chart", hz, report{source, picture, video, math.Round(c.Quality.Mean()*1000) / 1000, c.Info}})
}

// drawEvery is how often a chart that is coming in is drawn anew, by the clock: it takes a second at its end.
var drawEvery = 20 * time.Second // a test draws more often

// arrive keeps the video of the charts that are coming in on disk, and shows them.
func (s *copySource) arrive() {
	draw := time.Since(s.drawn) >= drawEvery
	for _, c := range s.desk.Copies() {
		if c.Finding.Kind != survey.Fax {
			continue
		}
		r := s.arriving[c]
		a, v, zero := c.Arriving()
		if r == nil {
			r = &arrival{keeper: s.keeper, name: s.name(c), origin: chartfile.Origin{
				Source: s.path, Recording: recordingPath(s.path), Start: s.time(zero), TimeFrom: s.at.StartFrom(),
			}}
			s.arriving[c] = r
		}
		r.follow(a, v)
		if !draw || r.file == nil {
			continue
		}
		if ch := c.Peek(); ch != nil {
			if err := r.file.Preview(chartfile.New(ch, s.at.Time, s.at.StartFrom())); err != nil {
				s.trouble.failed(ofPreview, err)
			} else {
				s.trouble.works(ofPreview)
			}
		}
	}
	if draw {
		s.drawn = time.Now()
	}
}

// copyEnd is a JSON object of a transmission that has ended.
type copyEnd struct {
	Event string `json:"event"` // ended
	surveyEvent
	Characters int    `json:"characters,omitempty"`
	File       string `json:"file,omitempty"`
}

func (s *copySource) ended(c *copydesk.Copy) {
	if r := s.arriving[c]; r != nil {
		r.follow(fax.Arriving{}, nil) // what still comes in was none
		delete(s.arriving, c)
	}
	e := copyEnd{Event: "ended", surveyEvent: s.air.event(s.path, s.at, s.rate, c.Finding)}
	s.mutex.Lock()
	s.copied++
	s.mutex.Unlock()
	u := unsaved{s.texts[c], e}
	delete(s.texts, c)
	if u.text == nil || u.text.end() {
		s.account(u)
		return
	}
	s.unsaved = append(s.unsaved, u)
	size := 0
	for _, u := range s.unsaved {
		size += len(u.text.file.pending)
	}
	for ; size > mostUnsaved; s.unsaved = s.unsaved[1:] {
		u := s.unsaved[0]
		size -= len(u.text.file.pending)
		s.trouble.gaveUp()
		s.account(u)
	}
}

// unsaved is a transmission that has ended, and its text, of which some is not in its file yet.
type unsaved struct {
	text *transcript
	end  copyEnd
}

// mostUnsaved bounds in bytes what is kept of transmissions that have ended.
const mostUnsaved = 16 << 20

// retry tries again to save the texts of transmissions that have ended.
func (s *copySource) retry() {
	for len(s.unsaved) > 0 && s.unsaved[0].text.save() == nil {
		s.account(s.unsaved[0])
		s.unsaved = s.unsaved[1:]
	}
}

// close tries for the last time.
func (s *copySource) close() {
	for _, u := range s.unsaved {
		s.account(u)
	}
	s.unsaved = nil
}

// account tells of a transmission that has ended, and of what is not saved of it and never will be.
func (s *copySource) account(u unsaved) {
	if t := u.text; t != nil {
		s.fail(t.close())
		u.end.Characters, u.end.File = t.saved(), t.path()
		s.mutex.Lock()
		s.characters += u.end.Characters
		s.mutex.Unlock()
	}
	if s.json {
		s.print("", "", u.end)
	}
}

func (s *copySource) found(f survey.Finding) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if s.count == nil {
		s.count = map[survey.Kind]int{}
	}
	s.count[f.Kind]++
}

// fail notes the first error of writing.
func (w *copyWriter) fail(err error) {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	if w.err == nil {
		w.err = err
	}
}

// print writes a line under its heading, or the object.
func (w *copyWriter) print(heading, line string, object any) {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	switch {
	case w.json:
		b, err := json.Marshal(object)
		if err != nil { // cannot be: all numbers are finite
			w.err = err
			return
		}
		line = string(b)
	case heading != w.heading:
		if w.heading != "" {
			w.line("")
		}
		w.line(heading)
		w.heading = heading
	}
	w.line(line)
}

func (w *copyWriter) line(s string) {
	if w.out == nil {
		return
	}
	w.progress.clear()
	if err := printLine(w.out, s); err != nil {
		w.out = nil
		if w.err == nil {
			w.err = fmt.Errorf("%w; files are in %s all the same", err, w.copyOptions.out)
		}
	}
}

// kinds says what was found.
func (w *copyWriter) kinds() string {
	var kinds []string
	for _, k := range []survey.Kind{survey.Fax, survey.Teleprinter, survey.Morse, survey.Carrier, survey.Other} {
		if n := w.count[k]; n > 0 {
			kinds = append(kinds, fmt.Sprintf("%d %v", n, k))
		}
	}
	return strings.Join(kinds, ", ")
}

// summary says what there was.
func (w *copyWriter) summary() {
	kinds := w.kinds()
	if w.json || kinds == "" {
		return
	}
	if w.heading != "" {
		w.line("")
	}
	w.line(fmt.Sprintf("In %v: %s; %d charts and %d characters in %s", w.length.Round(time.Second), kinds, w.charts, w.characters, w.copyOptions.out))
}

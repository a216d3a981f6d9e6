package filing

import (
	"errors"
	"path/filepath"
	"time"

	"ionoscribe/copydesk"
	"ionoscribe/fax"
	"ionoscribe/internal/chartfile"
)

// Report is an event and what became of it: of Text a line that is complete, of Chart one that is saved, and of Ended what is
// in the file.
type Report struct {
	copydesk.Event
	Source *Source // nil: of a chart of an earlier run

	LineBegun string // of Text, when its line began; Event.Text is the line
	Saved     *chartfile.Chart
	Picture   string // path of Saved
	Video     string // path, or "" if it is not kept
	File      string // of Ended, path of the text; "" if there is none
	Length    int    // of Ended, characters in it
}

// Folder puts what is copied into a folder: each text into a file of its own, which grows as text comes, and each chart into
// a picture and its video. It hears a stream, and is used while that calls no one else (Stream.Do).
type Folder struct {
	Dir     string
	Doubt   float64 // characters whose confidence is lower are marked
	Trouble *Trouble
	Tell    func(Report)

	charts   *Charts
	sources  map[string]*Source
	texts    map[place]*transcript
	written  map[string]bool // paths of texts
	arriving map[place]*arriving
	unsaved  []unsaved
	errs     []error
	undo     func()
}

// place is a transmission of a source.
type place struct {
	source       string
	transmission int
}

func placeOf(e copydesk.Event) place { return place{e.Source, e.Transmission} }

// arriving is a chart that is coming in.
type arriving struct {
	Arrival
	drawn   time.Time // when its preview was, last
	drawing bool
	preview chan *fax.Chart
}

// unsaved is a transmission that has ended, and its text, of which some is not in its file yet.
type unsaved struct {
	text *transcript
	end  Report
}

// mostUnsaved bounds in bytes what is kept of transmissions that have ended.
const mostUnsaved = 16 << 20

// DrawEvery is how often a chart that is coming in is drawn anew, by the clock: it takes a second at its end.
var DrawEvery = 20 * time.Second // a test draws more often

// Open makes the folder ready, and saves the charts that were coming in when an earlier run was killed, but for those in
// recordings that are read again.
func (f *Folder) Open(recordings []string) error {
	undo, err := chartfile.Prepare(f.Dir)
	if err != nil {
		return err
	}
	f.undo = undo
	f.charts = NewCharts(f.Dir, false, f.Trouble)
	f.written = map[string]bool{}
	f.sources, f.texts, f.arriving = map[string]*Source{}, map[place]*transcript{}, map[place]*arriving{}
	err = f.charts.Adopt(recordings, func(a chartfile.Adopted) {
		f.Tell(Report{Event: copydesk.Event{What: copydesk.Chart, Source: a.Source, UTC: a.Chart.Start}, Saved: a.Chart, Picture: a.Picture, Video: a.Video})
	})
	if err != nil {
		f.errs = append(f.errs, err)
	}
	return nil
}

// Add tells of a source, before its first event.
func (f *Folder) Add(s *Source) { f.sources[s.Name] = s }

// Hear takes an event.
func (f *Folder) Hear(e copydesk.Event) {
	switch e.What {
	case copydesk.Text:
		f.text(e)
	case copydesk.Chart:
		f.chart(e)
	case copydesk.Ended:
		f.ended(e)
	default:
		f.Tell(Report{Event: e, Source: f.sources[e.Source]})
	}
}

func (f *Folder) text(e copydesk.Event) {
	t := f.texts[placeOf(e)]
	if t == nil {
		s := f.sources[e.Source]
		t = newTranscript(filepath.Join(f.Dir, s.FileName(e.Finding)), s.title(e.Finding), s.again(), f.written, f.Doubt, f.Trouble, func(at, text string) {
			r := Report{Event: t.latest, Source: s, LineBegun: at}
			r.Text = text
			f.Tell(r)
		})
		f.texts[placeOf(e)] = t
	}
	t.latest = e
	t.char(e.Text, e.Confidence, e.UTC)
}

func (f *Folder) chart(e copydesk.Event) {
	s := f.sources[e.Source]
	c := chartfile.New(e.Chart, s.Time, s.TimeFrom())
	c.Source, c.Again, c.File = s.Name, s.again(), s.ChartName(c.Info, e.Finding)
	if s.DialHz != 0 {
		c.Hz = tenths(s.OnAir(e.Finding.Hz))
	}
	var came *chartfile.Arriving
	if r := f.arriving[placeOf(e)]; r != nil {
		came = r.Take()
	}
	f.charts.Save(c, came, func(picture, video string) {
		f.Tell(Report{Event: e, Source: s, Saved: c, Picture: picture, Video: video})
	})
}

func (f *Folder) ended(e copydesk.Event) {
	p := placeOf(e)
	if r := f.arriving[p]; r != nil {
		r.Follow(fax.Arriving{}, nil, false) // what still comes in was none
		delete(f.arriving, p)
	}
	u := unsaved{f.texts[p], Report{Event: e, Source: f.sources[e.Source]}}
	delete(f.texts, p)
	if u.text == nil || u.text.end(e.UTC, e.Finding.SNR) {
		f.account(u)
		return
	}
	f.unsaved = append(f.unsaved, u)
	size := 0
	for _, u := range f.unsaved {
		size += len(u.text.file.pending)
	}
	for ; size > mostUnsaved; f.unsaved = f.unsaved[1:] {
		size -= len(f.unsaved[0].text.file.pending)
		f.Trouble.gaveUp()
		f.account(f.unsaved[0])
	}
}

// account tells of a transmission that has ended, and of what is not saved of it and never will be.
func (f *Folder) account(u unsaved) {
	if t := u.text; t != nil {
		f.fail(t.close())
		u.end.Length, u.end.File = t.saved(), t.path()
	}
	f.Tell(u.end)
}

func (f *Folder) fail(err error) {
	if err != nil {
		f.errs = append(f.errs, err)
	}
}

// Save brings into the files what has come of a desk's source since the last call, and what was not saved before.
func (f *Folder) Save(source string, d *copydesk.Desk) {
	for p, t := range f.texts {
		if p.source == source {
			t.save()
		}
	}
	for len(f.unsaved) > 0 && f.unsaved[0].text.save() == nil {
		f.account(f.unsaved[0])
		f.unsaved = f.unsaved[1:]
	}
	for _, c := range d.Copies() {
		f.arrive(f.sources[source], c, d.Drawing(c.Transmission()))
	}
	f.charts.Retry()
}

// arrive keeps the video of a chart that is coming in on disk, and shows it now and then.
func (f *Folder) arrive(s *Source, c *copydesk.Copy, drawing bool) {
	p := place{s.Name, c.Transmission()}
	a, v, zero, ok := c.Arriving()
	if !ok {
		return
	}
	r := f.arriving[p]
	if r == nil {
		r = &arriving{drawn: time.Now(), preview: make(chan *fax.Chart, 1)}
		r.Arrival = Arrival{keeper: f.charts, name: s.FileName(c.Finding()), origin: chartfile.Origin{
			Source: s.Name, Recording: RecordingPath(s.Path), Start: s.Time(zero), TimeFrom: s.TimeFrom(),
		}}
		f.arriving[p] = r
	}
	r.Follow(a, v, drawing)
	select {
	case ch := <-r.preview:
		if ch != nil && r.file != nil {
			if err := r.file.Preview(chartfile.New(ch, s.Time, s.TimeFrom())); err != nil {
				f.Trouble.failed(ofPreview, err)
			} else {
				f.Trouble.works(ofPreview)
			}
		}
		r.drawn, r.drawing = time.Now(), false
	default:
	}
	if r.file == nil || r.drawing || time.Since(r.drawn) < DrawEvery {
		return
	}
	if draw := c.SoFar(); draw != nil {
		r.drawing = true
		go func() { r.preview <- draw() }()
	}
}

// Close tries for the last time to save what is not saved; the error tells of what never was.
func (f *Folder) Close() error {
	for _, u := range f.unsaved {
		f.account(u)
	}
	f.unsaved = nil
	err := errors.Join(append(f.errs, f.charts.Close())...)
	f.undo()
	return err
}

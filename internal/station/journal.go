package station

import (
	"context"
	"log/slog"
	"sync"
	"time"

	"ionoscribe/copydesk"
	"ionoscribe/internal/alerts"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/filing"
	"ionoscribe/internal/programme"
	"ionoscribe/survey"
)

// journal hears the events of all receivers and tells archive, programme and alerts. It never waits: what takes time, the saving of
// charts, is the saver's.
type journal struct {
	archive *archive.Archive
	alerts  *alerts.Alerter
	diary   *diary
	saver   *saver
	log     *slog.Logger

	mutex   sync.Mutex // of what Forget and Add change; events come one at a time
	sources map[string]*filing.Source
	going   map[place]*going

	followers []func(News)
	telling   sync.Mutex // events come from one goroutine, and what was saved from another
}

// place is a transmission of a receiver.
type place struct {
	receiver string
	number   int
}

// going is a transmission that goes on, or of which charts are still drawn.
type going struct {
	id         archive.ID
	known      archive.Transmission // what is known of it
	kind       survey.Kind
	occurrence *programme.Occurrence // that it, or the chart that is coming in, was taken for
	charts     int                   // that came
	lines      bool                  // a chart is coming in
	characters int
	confidence float64 // sum
}

func newJournal(a *archive.Archive, al *alerts.Alerter, d *diary, s *saver, log *slog.Logger) *journal {
	return &journal{archive: a, alerts: al, diary: d, saver: s, log: log, sources: map[string]*filing.Source{}, going: map[place]*going{}}
}

// add tells of a receiver's source, before its first event.
func (j *journal) add(s *filing.Source) {
	j.mutex.Lock()
	defer j.mutex.Unlock()
	j.sources[s.Name] = s
}

func (j *journal) source(e copydesk.Event) *filing.Source {
	j.mutex.Lock()
	defer j.mutex.Unlock()
	return j.sources[e.Source]
}

// hear takes an event.
func (j *journal) hear(e copydesk.Event) {
	s := j.source(e)
	p := place{e.Source, e.Transmission}
	g := j.going[p]
	if e.What == copydesk.Began && g == nil {
		g = j.began(s, e)
		j.going[p] = g
	}
	n := News{Event: e}
	switch {
	case e.What == copydesk.Gap:
		n.Seconds = float64(e.Lost) / s.Rate
		j.archive.Incident(archive.Incident{At: e.UTC, What: archive.Gap, Receiver: e.Source, Seconds: n.Seconds})
	case e.What == copydesk.Trouble:
		j.trouble(e, g)
	case g == nil: // it was heard before the archive was there
	case e.What == copydesk.Changed:
		j.changed(s, e, g)
	case e.What == copydesk.Text:
		j.text(e, g)
	case e.What == copydesk.Line:
		j.line(s, e, g)
	case e.What == copydesk.Chart:
		j.chart(s, e, g)
	case e.What == copydesk.Ended:
		j.ended(s, e, g)
		delete(j.going, p)
	}
	if g != nil {
		n.Transmission = g.known
	}
	j.tell(n)
}

// describe says of a transmission what the survey knows.
func describe(t *archive.Transmission, s *filing.Source, e copydesk.Event) {
	f := e.Finding
	low, high := s.OnAir(f.LowHz), s.OnAir(f.HighHz)
	t.Mode, t.Settings = string(f.Kind), s.Details(f)
	t.OnAir, t.Hz, t.LowHz, t.HighHz = s.DialHz != 0, s.OnAir(f.Hz), min(low, high), max(low, high)
	t.Begun, t.SNR, t.Copied = s.Time(f.Begin).UTC(), f.SNR, e.Copied
}

func (j *journal) began(s *filing.Source, e copydesk.Event) *going {
	t := archive.Transmission{Receiver: e.Source, Source: s.Path, TimeFrom: s.TimeFrom(), Ended: e.UTC}
	describe(&t, s, e)
	g := &going{kind: e.Finding.Kind}
	if o, ok := j.match(e.Source, s, e, t.Begun); ok {
		g.occurrence, t.Title, t.Entry = &o, o.Entry.Title, o.Entry.ID
	}
	g.id = j.archive.Begin(t)
	t.ID = g.id
	g.known = t
	j.log.Info("began", "receiver", e.Source, "transmission", g.id, "mode", t.Mode, "hz", t.Hz, "settings", t.Settings, "title", t.Title)
	j.consider(e, g, alerts.SignalBegan, "")
	return g
}

// match finds the occurrence that began at a time; carriers and what is not known are none.
func (j *journal) match(receiver string, s *filing.Source, e copydesk.Event, begun time.Time) (programme.Occurrence, bool) {
	if !e.Copied {
		return programme.Occurrence{}, false
	}
	hz := 0.0
	if s.DialHz != 0 {
		hz = s.OnAir(e.Finding.Hz)
	}
	return j.diary.match(begun, receiver, hz, string(e.Finding.Kind))
}

func (j *journal) changed(s *filing.Source, e copydesk.Event, g *going) {
	if e.Heard != nil { // many times a minute; the survey tells the rest
		return
	}
	j.retitle(s, e, g)
	j.change(g, func(t *archive.Transmission) {
		describe(t, s, e)
		t.Ended = e.UTC
		if o := g.occurrence; o != nil && g.charts == 0 {
			t.Title, t.Entry = o.Entry.Title, o.Entry.ID
		}
	})
	j.archive.SNR(g.id, e.UTC, e.Finding.SNR)
}

// change changes what is known of a transmission.
func (j *journal) change(g *going, change func(*archive.Transmission)) {
	change(&g.known)
	j.archive.Change(g.id, change)
}

// retitle looks for the occurrence of a transmission that was taken for another kind at first.
func (j *journal) retitle(s *filing.Source, e copydesk.Event, g *going) {
	if g.kind == e.Finding.Kind {
		return
	}
	g.kind = e.Finding.Kind
	if g.occurrence != nil {
		j.diary.giveBack(*g.occurrence, e.Source)
		g.occurrence = nil
	}
	if o, ok := j.match(e.Source, s, e, s.Time(e.Finding.Begin).UTC()); ok {
		g.occurrence = &o
	}
}

func (j *journal) text(e copydesk.Event, g *going) {
	g.characters++
	g.confidence += e.Confidence
	j.archive.Text(g.id, archive.Char{At: e.UTC, Text: e.Text, Confidence: e.Confidence})
	v := j.event(e, g, alerts.SignalText, "")
	v.Text, v.Confidence = e.Text, e.Confidence
	j.alerts.Consider(v)
}

// line takes a line of a chart that is coming in. The first one of a transmission was matched when that began, later ones are now.
func (j *journal) line(s *filing.Source, e copydesk.Event, g *going) {
	if e.Row == 0 && !g.lines && g.charts > 0 {
		if o, ok := j.match(e.Source, s, e, e.UTC); ok {
			g.occurrence = &o
		}
	}
	g.lines = true
}

func (j *journal) chart(s *filing.Source, e copydesk.Event, g *going) {
	c := chartfile.New(e.Chart, s.Time, s.TimeFrom())
	c.Source, c.File = e.Source, s.ChartName(c.Info, e.Finding)
	if s.DialHz != 0 {
		c.Hz = s.OnAir(e.Finding.Hz)
	}
	if g.occurrence == nil && g.charts > 0 { // it was so short that none of its lines was told
		if o, ok := j.match(e.Source, s, e, c.Start); ok {
			g.occurrence = &o
		}
	}
	row := archive.Chart{Transmission: g.id, Info: c.Info, Image: c.Image}
	if o := g.occurrence; o != nil {
		c.Title, row.Title, row.Entry, row.Info.Title = o.Entry.Title, o.Entry.Title, o.Entry.ID, o.Entry.Title
		j.took(e, g, c.Quality.Mean())
	}
	g.charts++
	g.lines = false
	known := g.known
	j.saver.save(place{e.Source, e.Transmission}, c, func(picture, video string) {
		row.Picture, row.Video = picture, video
		number := j.archive.Chart(g.id, row)
		j.saved(e, known, number, row)
		j.log.Info("chart", "receiver", row.Info.Source, "transmission", g.id, "title", row.Title, "picture", picture, "quality", c.Quality.Mean())
	})
}

// saved tells of a chart when it can be found in the archive. It is the saver's goroutine that waits for that.
func (j *journal) saved(e copydesk.Event, t archive.Transmission, number int64, c archive.Chart) {
	if len(j.followers) == 0 {
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), findableWithin)
	defer cancel()
	if err := j.archive.Flush(ctx); err != nil { // it is told of later, when somebody looks
		return
	}
	t.Quality = c.Info.Quality.Mean()
	j.tell(News{Event: copydesk.Event{What: Saved, Source: e.Source, UTC: e.UTC}, Transmission: t, Chart: number, Title: c.Title})
}

// findableWithin is how long the saver waits for the archive to have a chart: it commits twice a second, unless it cannot.
const findableWithin = 2 * time.Second

// took tells that an occurrence came, and how well.
func (j *journal) took(e copydesk.Event, g *going, quality float64) {
	o := *g.occurrence
	g.occurrence = nil
	what := alerts.EntryCame
	if outcomeOf(quality) == archive.Poor {
		what = alerts.EntryPoor
	}
	x := expected(o, e.Source, outcomeOf(quality))
	x.Transmission, x.Quality = g.id, quality
	j.archive.Expect(x)
	v := j.event(e, g, what, "")
	v.Entry, v.Title = o.Entry.ID, o.Entry.Title
	j.alerts.Consider(v)
}

// outcomeOf a copy of some quality.
func outcomeOf(quality float64) archive.Outcome {
	if quality < poorQuality {
		return archive.Poor
	}
	return archive.Came
}

// poorQuality is that of a copy of which half cannot be trusted.
const poorQuality = 0.5

func (j *journal) ended(s *filing.Source, e copydesk.Event, g *going) {
	if o := g.occurrence; o != nil {
		if g.characters > 0 {
			j.took(e, g, g.confidence/float64(g.characters))
		} else { // nothing came of it
			j.diary.giveBack(*o, e.Source)
		}
	}
	j.change(g, func(t *archive.Transmission) {
		describe(t, s, e)
		t.Ended = e.UTC
	})
	g.known.State = archive.Complete
	j.archive.End(g.id, e.UTC)
	j.log.Info("ended", "receiver", e.Source, "transmission", g.id, "mode", e.Finding.Kind, "characters", g.characters, "charts", g.charts)
	j.consider(e, g, alerts.SignalEnded, "")
	j.saver.forget(place{e.Source, e.Transmission})
}

func (j *journal) trouble(e copydesk.Event, g *going) {
	i := archive.Incident{At: e.UTC, What: archive.Trouble, Receiver: e.Source, Text: e.Err.Error()}
	if g != nil {
		i.Transmission = g.id
	}
	j.archive.Incident(i)
	j.log.Error("trouble", "receiver", e.Source, "error", e.Err)
}

// event is that of a transmission for the alerts.
func (j *journal) event(e copydesk.Event, g *going, what alerts.What, detail string) alerts.Event {
	s := j.source(e)
	v := alerts.Event{What: what, UTC: e.UTC, Receiver: e.Source, Transmission: int64(g.id), Mode: string(e.Finding.Kind), Detail: detail}
	if s.DialHz != 0 {
		v.FrequencyHz = s.OnAir(e.Finding.Hz)
	}
	if g.occurrence != nil {
		v.Entry, v.Title = g.occurrence.Entry.ID, g.occurrence.Entry.Title
	}
	return v
}

func (j *journal) consider(e copydesk.Event, g *going, what alerts.What, detail string) {
	j.alerts.Consider(j.event(e, g, what, detail))
}

// lost ends what goes on of a receiver whose desk is gone without having told so, as after a fault of the program.
func (j *journal) lost(receiver string, now time.Time) {
	for p, g := range j.going {
		if p.receiver != receiver {
			continue
		}
		if g.occurrence != nil {
			j.diary.giveBack(*g.occurrence, receiver)
		}
		j.archive.End(g.id, now)
		delete(j.going, p)
		g.known.State, g.known.Ended = archive.Complete, now
		j.tell(News{Event: copydesk.Event{What: copydesk.Ended, Source: receiver, UTC: now}, Transmission: g.known})
	}
	j.saver.lose(receiver)
}

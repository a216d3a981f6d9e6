package station

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"maps"
	"reflect"
	"slices"
	"sync"
	"time"

	"ionoscribe/copydesk"
	"ionoscribe/internal/alerts"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/filing"
	"ionoscribe/internal/programme"
	"ionoscribe/internal/stationfile"
)

// Opener opens the source of a receiver; dialHz is where a tune command has put it, or 0.
type Opener func(ctx context.Context, r stationfile.Receiver, dialHz float64) (*Input, error)

// Options of a station.
type Options struct {
	Open Opener
	Now  func() time.Time // nil: time.Now
	// BySamples says that the station's time is that of the samples that all receivers have given by now, as is right for
	// recordings that are heard faster than they sound.
	BySamples bool
	Log       *slog.Logger // nil: nowhere

	running func() time.Time // what durations are measured by; nil: time.Now
}

// Station is one that keeps watch.
type Station struct {
	dir     string
	options Options
	log     *slog.Logger
	archive *archive.Archive
	alerts  *alerts.Alerter
	diary   *diary
	saver   *saver
	journal *journal
	stream  copydesk.Stream
	began   time.Time
	moved   chan struct{} // samples came
	rounds  rounds
	disk    diskGauge
	taps    []Tap

	mutex    sync.Mutex
	config   *stationfile.Config
	watches  map[string]*watch
	stopping bool
	ctx      context.Context // of Run
}

// watch is a receiver that is run.
type watch struct {
	config stationfile.Receiver
	*receiver
	cancel   context.CancelFunc
	done     chan struct{}
	sound    sound
	dialHz   float64 // that a tune command has set; 0: that of the configuration
	tunedFor string  // key of the occurrence for which it was tuned last
	heardTo  time.Time
}

// stopSeconds is how long what is received may take to be brought to its end when the station is stopped. What takes longer, such
// as the drawing of a chart, is on the disk, and the next start makes it ready.
const stopSeconds = 3

// soundDelay is how late what is heard may be whose sound is kept: of what is not heard as time goes there is a recording.
const soundDelay = time.Minute

// Open opens a station's folder: its archive, and what an earlier run left.
func Open(dir string, c *stationfile.Config, o Options) (*Station, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.running == nil {
		o.running = time.Now
	}
	if o.Log == nil {
		o.Log = slog.New(slog.NewTextHandler(io.Discard, nil))
	}
	s := &Station{dir: dir, options: o, log: o.Log, config: c, watches: map[string]*watch{}, moved: make(chan struct{}, 1), began: o.Now()}
	ways, err := Ways(dir, c)
	if err != nil {
		return nil, err
	}
	if s.archive, err = archive.Open(dir, archive.Options{Now: s.now, Note: o.Log.Warn}); err != nil {
		return nil, err
	}
	s.alerts, err = alerts.New(alerts.Config{Station: c.Name, Rules: c.Rules(), Ways: ways, Store: s.archive.Outbox(), Now: s.now, Log: o.Log})
	if err != nil {
		return nil, errors.Join(err, s.archive.Close())
	}
	s.diary = s.openDiary(c.Programme)
	trouble := &filing.Trouble{Note: func(line string) { o.Log.Error("charts", "trouble", line) }}
	charts := filing.NewCharts(dir, false, trouble)
	charts.Into = func(c *chartfile.Chart) string { return s.archive.Folder(c.Start) }
	s.saver = newSaver(charts, trouble)
	s.journal = newJournal(s.archive, s.alerts, s.diary, s.saver, o.Log)
	s.stream.Listen(s.journal.hear)
	return s, nil
}

// Ways opens the ways out of alerts of a configuration.
func Ways(dir string, c *stationfile.Config) (map[string]alerts.Way, error) {
	ways := map[string]alerts.Way{}
	for _, w := range c.Ways {
		way, err := w.Open(dir)
		if err != nil {
			return nil, err
		}
		ways[w.Name] = way
	}
	return ways, nil
}

// now is the station's time.
func (s *Station) now() time.Time {
	if s.options.BySamples {
		if t := s.heardTo(); !t.IsZero() {
			return t
		}
	}
	return s.options.Now()
}

// Time is the station's time: that of the clock, or of the samples (see Options).
func (s *Station) Time() time.Time { return s.now() }

// Name is that of the station, and of its place.
func (s *Station) Name() (name, place string) {
	c := s.configNow()
	return c.Name, c.Place
}

// heardTo is up to when all receivers that give samples have been heard; zero if there is none.
func (s *Station) heardTo() (to time.Time) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	for _, w := range s.watches {
		if t := w.heardTo; !t.IsZero() && (to.IsZero() || t.Before(to)) && w.statusNow().Connected {
			to = t
		}
	}
	return to
}

// Archive is where what is heard is kept. It is closed when Run ends.
func (s *Station) Archive() *archive.Archive { return s.archive }

// Run keeps watch until ctx is done, or all receivers are recordings that have been heard to their end. Then it saves what was
// received, and closes the station.
func (s *Station) Run(ctx context.Context) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	s.archive.Incident(archive.Incident{At: s.now(), What: archive.Started})
	s.mutex.Lock()
	s.ctx = ctx
	s.mutex.Unlock()
	s.arrange()
	alerting := make(chan error, 1)
	alertsCtx, stopAlerts := context.WithCancel(context.WithoutCancel(ctx))
	go func() { alerting <- s.alerts.Run(alertsCtx) }()
	adopted := make(chan struct{})
	go func() {
		defer close(adopted)
		if err := s.adopt(s.saver.charts); err != nil {
			s.log.Error("charts of an earlier run", "error", err)
		}
	}()
	s.keepRounds(ctx)
	cancel()
	s.mutex.Lock()
	s.stopping = true
	watches := slices.Collect(maps.Values(s.watches))
	s.mutex.Unlock()
	over, stop := context.WithTimeout(context.WithoutCancel(ctx), stopSeconds*time.Second)
	defer stop()
	for _, w := range watches {
		select {
		case <-w.done:
		case <-over.Done():
			s.log.Warn("what is being drawn is made ready at the next start", "receiver", w.name)
		}
	}
	select {
	case <-adopted:
	case <-over.Done(): // the next start goes on with it
	}
	err := s.saver.close(over)
	s.archive.Incident(archive.Incident{At: s.now(), What: archive.Stopped})
	stopAlerts()
	err = errors.Join(err, <-alerting)
	return errors.Join(err, s.archive.Close())
}

// arrange starts and stops receivers, so that those of the configuration are run.
func (s *Station) arrange() {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if s.stopping || s.ctx == nil {
		return
	}
	wanted := map[string]stationfile.Receiver{}
	for _, r := range s.config.Receivers {
		wanted[r.Name] = r
	}
	for name, w := range s.watches {
		if r, ok := wanted[name]; ok && reflect.DeepEqual(r, w.config) {
			delete(wanted, name)
			continue
		}
		w.cancel()
		delete(s.watches, name)
		if _, ok := wanted[name]; ok { // with other settings, when it has stopped
			go func() {
				<-w.done
				s.arrange()
			}()
			delete(wanted, name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(wanted)) {
		s.start(wanted[name])
	}
}

// start runs a receiver; the mutex is held.
func (s *Station) start(r stationfile.Receiver) {
	ctx, cancel := context.WithCancel(s.ctx)
	w := &watch{config: r, cancel: cancel, done: make(chan struct{})}
	w.sound = sound{dir: s.dir, receiver: r.Name, age: r.Sound, bytes: r.SoundBytes, log: s.log}
	var source *filing.Source
	w.receiver = &receiver{
		name: r.Name, copies: r.Modes, hours: r.Hours, stream: &s.stream, now: s.options.Now, running: s.options.running, log: s.log,
		open: func(ctx context.Context) (*Input, error) { return s.options.Open(ctx, r, w.tuned(s)) },
		hooks: hooks{
			opened: func(in *Input) {
				source = &filing.Source{Name: r.Name, Path: in.Path, Rate: in.SampleRate, Time: in.Time, TimeFrom: in.TimeFrom,
					DialHz: in.DialHz, DialFrom: in.DialFrom, Lower: in.Lower}
				s.journal.add(source)
				s.diary.begin(in.Time(0))
				s.archive.Incident(archive.Incident{At: in.Time(0).UTC(), What: archive.Started, Receiver: r.Name, Text: in.Path})
				w.sound.open(in)
				s.log.Info("receiver connected", "receiver", r.Name, "source", in.Path, "rate_hz", in.SampleRate)
			},
			block: func(in *Input, desk *copydesk.Desk, at int64, b Block) {
				if from := in.Time(at); in.Live && s.options.Now().Sub(from) < soundDelay {
					w.sound.write(b, from)
				}
				s.saver.follow(source, desk)
				for _, t := range s.taps {
					t(r.Name, in, at, b)
				}
				s.heard(w, in.Time(at+int64(b.Len())))
			},
			closed: func(err error) {
				w.sound.close()
				s.stream.Do(func() { s.journal.lost(r.Name, s.now()) })
				i := archive.Incident{At: s.now(), What: archive.Stopped, Receiver: r.Name}
				if err != nil && !errors.Is(err, context.Canceled) { // which is the station's end
					i.Text = err.Error()
				}
				s.archive.Incident(i)
				s.tellMoved()
			},
		},
	}
	s.watches[r.Name] = w
	go func() {
		defer close(w.done)
		w.run(ctx)
	}()
}

// tuned is where a tune command has put the receiver.
func (w *watch) tuned(s *Station) float64 {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return w.dialHz
}

func (s *Station) heard(w *watch, to time.Time) {
	s.mutex.Lock()
	w.heardTo = to
	s.mutex.Unlock()
	s.tellMoved()
}

// tellMoved has the rounds look whether it is time for one.
func (s *Station) tellMoved() {
	select {
	case s.moved <- struct{}{}:
	default:
	}
}

// Change takes another configuration into use. Receivers whose settings are the same go on.
func (s *Station) Change(c *stationfile.Config) error {
	ways, err := Ways(s.dir, c)
	if err != nil {
		return err
	}
	s.mutex.Lock()
	s.config = c
	s.mutex.Unlock()
	if err := s.alerts.Change(c.Rules(), ways); err != nil {
		return err
	}
	s.diary.change(c.Programme)
	s.arrange()
	s.log.Info("configuration changed")
	return nil
}

// Programme is what the present programme expects in [from, to), in order.
func (s *Station) Programme(from, to time.Time) []programme.Occurrence {
	return programme.Between(s.configNow().Programme, from, to)
}

// Config is the configuration in force.
func (s *Station) Config() *stationfile.Config { return s.configNow() }

func (s *Station) configNow() *stationfile.Config {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.config
}

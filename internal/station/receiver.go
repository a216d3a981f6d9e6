package station

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"ionoscribe/copydesk"
	"ionoscribe/internal/programme"
	"ionoscribe/internal/stationfile"
)

// receiver copies what a source gives, and opens it again when it fails. It is a goroutine of its own, so that others do not
// notice.
type receiver struct {
	name   string
	copies []string            // names of the modes that are copied; nil: all
	hours  []stationfile.Hours // in which it is listened to; nil: always
	open   func(ctx context.Context) (*Input, error)
	stream *copydesk.Stream
	now    func() time.Time // UTC
	// running measures how long something lasts, also when UTC is set anew.
	running func() time.Time
	log     *slog.Logger
	hooks   hooks

	mutex  sync.Mutex
	status Status
	moved  time.Time // when samples came last, by running
	holds  time.Time // since when it is connected, by running
	failed time.Time // since when, by running, it has not been connected for settledAfter; zero: it has
	meter  *meter
	cancel context.CancelCauseFunc // ends the present connection
}

// hooks are what a receiver tells of, from its own goroutine.
type hooks struct {
	opened func(*Input)                                            // before its first event
	block  func(in *Input, desk *copydesk.Desk, at int64, b Block) // b, whose first sample is at, was copied
	closed func(err error)                                         // nil: the source has ended
}

// Status is what is known of a receiver.
type Status struct {
	Name      string    `json:"name"`
	Connected bool      `json:"connected"`
	Ended     bool      `json:"ended"`           // a recording that was heard to its end
	Since     time.Time `json:"since"`           // it is connected, or not
	Error     string    `json:"error,omitempty"` // that ended the last connection
	Tries     int       `json:"tries"`           // in vain, since it was connected last
	Moved     time.Time `json:"moved"`           // when samples came last
	Samples   int64     `json:"samples"`         // of this connection
	Lost      int64     `json:"lost"`            // of them
	Copying   int       `json:"copying"`
	Level     *Level    `json:"level,omitempty"`
	ClockPPM  float64   `json:"clock_ppm"` // by which the source's clock is fast, as estimated
	HeardTo   time.Time `json:"heard_to"`  // UTC of the latest sample
	Source    string    `json:"source,omitempty"`
	Rate      float64   `json:"rate_hz"`
	IQ        bool      `json:"iq"`      // samples are complex
	DialHz    float64   `json:"dial_hz"` // 0: not known
	DialFrom  string    `json:"dial_from,omitempty"`
	Lower     bool      `json:"lower"` // the lower sideband is heard

	still   time.Duration // for which no samples have come
	failing time.Duration // for which it has not been connected for long enough; 0: it is
}

// Pauses before a source that failed is opened again.
const (
	leastPause = time.Second
	mostPause  = time.Minute
	// steadyAfter being heard for so long the pauses begin anew.
	steadyAfter = time.Minute
	// settledAfter being connected for so long a receiver is not ill any more.
	settledAfter = 30 * time.Second
)

// run copies until ctx is done or a recording has been heard to its end.
func (r *receiver) run(ctx context.Context) {
	pause := leastPause
	for ctx.Err() == nil {
		if !r.waitForHours(ctx) {
			return
		}
		began := r.running()
		err := r.receive(ctx)
		ended := err == nil && ctx.Err() == nil
		r.disconnected(err, ended)
		r.hooks.closed(err)
		if ctx.Err() != nil || err == nil {
			return
		}
		if errors.Is(err, errHours) || errors.Is(err, errTuned) {
			continue
		}
		if r.running().Sub(began) > steadyAfter {
			pause = leastPause
		}
		r.log.Warn("receiver failed", "receiver", r.name, "error", err, "again_in", pause.String())
		select {
		case <-ctx.Done():
			return
		case <-time.After(pause):
		}
		pause = min(2*pause, mostPause)
	}
}

// receive opens the source and copies what it gives. A panic is an error: it ends this connection, and no other.
func (r *receiver) receive(ctx context.Context) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("this is a fault of the program, please report it: %v", p)
		}
	}()
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	r.mutex.Lock()
	r.cancel = cancel
	r.mutex.Unlock()
	in, err := r.open(ctx)
	if err != nil {
		return err
	}
	r.hooks.opened(in)
	desk, err := copydesk.New(copydesk.Config{Source: r.name, SampleRate: in.SampleRate, IQ: in.IQ, Time: in.Time, Live: in.Live, Copy: r.copies}, r.stream)
	if err != nil {
		return err
	}
	r.connected(in)
	at := int64(0)
	err = in.Each(ctx, func(b Block) {
		if in.IQ {
			desk.WriteIQ(b.IQ)
		} else {
			desk.Write(b.Audio)
		}
		desk.Lost(b.Lost)
		r.meter.add(b)
		r.heard(in, b, desk)
		r.hooks.block(in, desk, at, b)
		if at += int64(b.Len()); in.Live && !listens(r.hours, r.now()) {
			cancel(errHours)
		}
	})
	desk.Flush()
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	return err
}

// again ends the present connection for a reason and makes another one.
func (r *receiver) again(why error) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	if r.cancel != nil {
		r.cancel(why)
	}
}

// errHours ends a connection when the hours are over in which the receiver is listened to.
var errHours = errors.New("its hours are over")

// waitForHours waits until the receiver is to be listened to; false: ctx is done.
func (r *receiver) waitForHours(ctx context.Context) bool {
	for !listens(r.hours, r.now()) {
		select {
		case <-ctx.Done():
			return false
		case <-time.After(10 * time.Second):
		}
	}
	return true
}

// listens says whether a time is within hours.
func listens(hours []stationfile.Hours, at time.Time) bool {
	at = at.UTC()
	minute := programme.Clock(at.Hour()*60 + at.Minute())
	for _, h := range hours {
		if h.From < h.To && minute >= h.From && minute < h.To || h.From >= h.To && (minute >= h.From || minute < h.To) {
			return true
		}
	}
	return len(hours) == 0
}

func (r *receiver) connected(in *Input) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	r.meter = &meter{rate: in.SampleRate}
	r.status = Status{Name: r.name, Connected: true, Since: r.now(), Moved: r.now(), Source: in.Path, Rate: in.SampleRate, IQ: in.IQ,
		DialHz: in.DialHz, DialFrom: in.DialFrom, Lower: in.Lower}
	r.moved = r.running()
	r.holds = r.moved
}

func (r *receiver) disconnected(err error, ended bool) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	s := &r.status
	if s.Name = r.name; s.Connected || s.Since.IsZero() {
		s.Since, s.Tries = r.now(), 0
	}
	s.Connected, s.Ended, s.Copying, s.Error = false, ended, 0, ""
	switch {
	case err == nil || errors.Is(err, errHours) || errors.Is(err, errTuned) || errors.Is(err, context.Canceled):
		r.failed = time.Time{}
	case r.failed.IsZero():
		r.failed = r.running()
	}
	if err != nil {
		s.Tries++
		s.Error = err.Error()
	}
}

func (r *receiver) heard(in *Input, b Block, desk *copydesk.Desk) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	s := &r.status
	s.Moved = r.now()
	r.moved = r.running()
	if r.moved.Sub(r.holds) >= settledAfter {
		r.failed = time.Time{}
	}
	s.Samples += int64(b.Len())
	s.Lost += b.Lost
	s.Copying = len(desk.Copies())
	s.ClockPPM = clockOf(in, s.Samples)
}

// clockOf is by how many ppm a source's clock is fast, by what it tells of an hour of its samples from one on.
func clockOf(in *Input, from int64) float64 {
	const seconds = 3600
	took := in.Time(from + int64(seconds*in.SampleRate)).Sub(in.Time(from)).Seconds()
	if took <= 0 { // the clock was set between
		return 0
	}
	return (seconds/took - 1) * 1e6
}

// statusNow is what is known now.
func (r *receiver) statusNow() Status {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	s := r.status
	s.Name = r.name
	now := r.running()
	s.still = now.Sub(r.moved)
	if !r.failed.IsZero() {
		s.failing = now.Sub(r.failed)
	}
	if r.meter != nil {
		if l, ok := r.meter.level(); ok {
			s.Level = &l
		}
	}
	return s
}

package station

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"ionoscribe/copydesk"
)

// receiver copies what a source gives, and opens it again when it fails. It is a goroutine of its own, so that others do not
// notice.
type receiver struct {
	name   string
	copies []string // names of the modes that are copied; nil: all
	open   func(ctx context.Context) (*Input, error)
	stream *copydesk.Stream
	now    func() time.Time
	log    *slog.Logger
	hooks  hooks

	mutex  sync.Mutex
	status Status
	meter  *meter
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
}

// Pauses before a source that failed is opened again.
const (
	leastPause = time.Second
	mostPause  = time.Minute
	// steadyAfter being heard for so long the pauses begin anew.
	steadyAfter = time.Minute
)

// run copies until ctx is done or a recording has been heard to its end.
func (r *receiver) run(ctx context.Context) {
	pause := leastPause
	for ctx.Err() == nil {
		began := r.now()
		err := r.receive(ctx)
		r.disconnected(err, err == nil)
		r.hooks.closed(err)
		if ctx.Err() != nil || err == nil {
			return
		}
		if r.now().Sub(began) > steadyAfter {
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
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
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
		r.heard(b, desk)
		r.hooks.block(in, desk, at, b)
		at += int64(b.Len())
	})
	desk.Flush()
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}

func (r *receiver) connected(in *Input) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	r.meter = &meter{rate: in.SampleRate}
	r.status = Status{Name: r.name, Connected: true, Since: r.now(), Moved: r.now()}
}

func (r *receiver) disconnected(err error, ended bool) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	s := &r.status
	if s.Name = r.name; s.Connected || s.Since.IsZero() {
		s.Since, s.Tries = r.now(), 0
	}
	s.Connected, s.Ended, s.Copying, s.Error = false, ended, 0, ""
	if err != nil {
		s.Tries++
		s.Error = err.Error()
	}
}

func (r *receiver) heard(b Block, desk *copydesk.Desk) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	s := &r.status
	s.Moved = r.now()
	s.Samples += int64(b.Len())
	s.Lost += b.Lost
	s.Copying = len(desk.Copies())
}

// Status is what is known now.
func (r *receiver) statusNow() Status {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	s := r.status
	s.Name = r.name
	if r.meter != nil {
		if l, ok := r.meter.level(); ok {
			s.Level = &l
		}
	}
	return s
}

package station

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"sync"
	"syscall"
	"time"

	"ionoscribe/internal/alerts"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/fault"
	"ionoscribe/internal/programme"
	"ionoscribe/internal/soundring"
	"ionoscribe/internal/stationfile"
)

const (
	roundEvery = 10 * time.Second
	keepEvery  = 10 * time.Minute
	// graceAfter the end of its window an occurrence that nothing took is missed: some seconds pass until a transmission is
	// known, and a chart that follows another one is known by its first lines, two minutes after its beginning at most.
	graceAfter = 3 * time.Minute
	// A receiver is ill after these times.
	silentAfter       = time.Minute
	disconnectedAfter = time.Minute
	overloadedAfter   = 10 * time.Second
	silentDB          = -90.0 // over full scale: the noise of 16-bit samples that carry nothing
	overloadShare     = 0.01  // of samples at full scale
	clockPPM          = 500.0 // a sound card that is right strays by 100 at most (common practice)
	leastFreeBytes    = 200 << 20
	notKeptAfter      = 20 * time.Second // another program, such as one that makes a copy, may lock a database for some seconds
)

// rounds is what the rounds know. It is the goroutine's of Run.
type rounds struct {
	last, kept time.Time
	ill        map[illness]time.Time // since when
	told       map[illness]bool
	keeping    sync.WaitGroup
}

// illness is what may be wrong with a receiver, or with the station, whose name is "".
type illness struct {
	receiver string
	what     alerts.What
}

// keepRounds makes its rounds until ctx is done or all receivers have ended.
func (s *Station) keepRounds(ctx context.Context) {
	r := &s.rounds
	r.ill, r.told = map[illness]time.Time{}, map[illness]bool{}
	defer r.keeping.Wait()
	tick := time.NewTicker(roundEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		case <-s.moved:
			if now := s.now(); now.Sub(r.last) < roundEvery && !now.Before(r.last) && !s.allEnded() {
				continue
			}
		}
		s.round(ctx, s.now())
		if s.allEnded() {
			return
		}
	}
}

// allEnded says that all receivers were recordings.
func (s *Station) allEnded() bool {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	for _, w := range s.watches {
		if !w.statusNow().Ended {
			return false
		}
	}
	return len(s.watches) > 0
}

func (s *Station) round(ctx context.Context, now time.Time) {
	r := &s.rounds
	r.last = now
	c := s.configNow()
	s.expect(c, now)
	for _, o := range s.diary.missed(now.Add(-graceAfter)) {
		s.missed(o, now)
	}
	s.examine(now)
	s.tune(ctx, c, now)
	if now.Sub(r.kept) >= keepEvery || now.Before(r.kept) {
		r.kept = now
		r.keeping.Wait() // for the last one
		r.keeping.Go(func() { s.keep(ctx, c, now) })
	}
}

// expect tells the archive what is due now.
func (s *Station) expect(c *stationfile.Config, now time.Time) {
	for _, o := range programme.Between(c.Programme, now.Add(-roundEvery), now.Add(time.Hour)) {
		if !o.Opens.After(now) && o.Opens.After(now.Add(-2*roundEvery)) {
			s.archive.Expect(expected(o, "", archive.Due))
		}
	}
}

// missed tells that an occurrence did not come.
func (s *Station) missed(o programme.Occurrence, now time.Time) {
	x := expected(o, "", archive.Missed)
	for _, st := range s.Status() {
		if !st.Connected && (len(o.Entry.Receivers) == 0 || slices.Contains(o.Entry.Receivers, st.Name)) {
			x.Why = fmt.Sprintf("receiver %s was not connected", st.Name)
		}
	}
	s.archive.Expect(x)
	s.log.Warn("missed", "title", o.Entry.Title, "due", o.At)
	s.alerts.Consider(alerts.Event{What: alerts.EntryMissed, UTC: now, Mode: o.Entry.Mode, FrequencyHz: o.Entry.FrequencyHz, Entry: o.Entry.ID, Title: o.Entry.Title,
		Detail: "due at " + o.At.UTC().Format("15:04Z") + " " + x.Why})
}

// examine looks for what is wrong with receivers and disk.
func (s *Station) examine(now time.Time) {
	real := s.options.running()
	for _, st := range s.Status() {
		is := func(what alerts.What, ill bool, after time.Duration, detail string) {
			s.judge(illness{st.Name, what}, ill, after, real, now, detail)
		}
		quiet := st.Level != nil && st.Level.RMS < silentDB
		stands := st.Connected && st.still > roundEvery
		detail := fmt.Sprintf("no samples since %s", st.Moved.UTC().Format("15:04:05Z"))
		if quiet {
			detail = fmt.Sprintf("its level is %.0f dB below full scale", -st.Level.RMS)
		}
		is(alerts.Silent, st.Connected && (quiet || stands), silentAfter, detail)
		if st.failing > 0 && st.Connected {
			st.Error = "it comes and goes"
		}
		is(alerts.Disconnected, st.failing > 0 && !st.Ended, disconnectedAfter, st.Error)
		is(alerts.Overloaded, st.Level != nil && st.Level.Clipped > overloadShare, overloadedAfter, "samples are at full scale")
		is(alerts.ClockRuns, st.Connected && math.Abs(st.ClockPPM) > clockPPM, silentAfter, fmt.Sprintf("its clock is off by %.0f ppm", st.ClockPPM))
	}
	if d, err := s.Disk(); err == nil {
		s.disk.note(real, d.Free)
	}
	full, other := s.troubles()
	s.judge(illness{"", alerts.DiskFull}, full != nil, 0, real, now, inWords(full))
	s.judge(illness{"", alerts.NotKept}, other != nil, notKeptAfter, real, now, inWords(other))
}

func inWords(err error) string {
	if err == nil {
		return ""
	}
	return fault.OneLine(err.Error())
}

// troubles says why something of what is heard cannot be kept, or soon will not be: because the disk is full, or for another reason.
func (s *Station) troubles() (full, other error) {
	found := []error{s.archive.Stats().Trouble, s.saver.trouble.Now()}
	for _, r := range s.rings() {
		found = append(found, r.Stats().Trouble)
	}
	free, least, err := freeBytes(s.dir)
	for _, t := range found {
		switch {
		case t == nil:
		case errors.Is(t, syscall.ENOSPC), errors.Is(t, syscall.EDQUOT), errors.Is(t, archive.ErrFull), err == nil && free == 0:
			full = cmp.Or(full, t)
		default:
			other = cmp.Or(other, t)
		}
	}
	if full == nil && err == nil && free < least {
		full = fmt.Errorf("%d MB are free in %s; free some space, or keep less", free>>20, s.dir)
	}
	return full, other
}

// judge tells of an illness once, when it has lasted, and again when it came back after it was over.
func (s *Station) judge(i illness, ill bool, after time.Duration, real, now time.Time, detail string) {
	r := &s.rounds
	if !ill {
		if r.told[i] {
			s.log.Info("over", "receiver", i.receiver, "what", i.what)
		}
		delete(r.ill, i)
		delete(r.told, i)
		return
	}
	since, ok := r.ill[i]
	if !ok {
		r.ill[i], since = real, real
	}
	if r.told[i] || real.Sub(since) < after {
		return
	}
	r.told[i] = true
	s.log.Warn("ill", "receiver", i.receiver, "what", i.what, "detail", detail)
	s.tellIll(alerts.Event{What: i.what, UTC: now, Receiver: i.receiver, Detail: detail})
}

// tellIll tells the alerts of what is wrong, and the archive, so that a rule can be tried on it later.
func (s *Station) tellIll(e alerts.Event) {
	s.archive.Incident(archive.Incident{At: e.UTC, What: archive.Ill, Receiver: e.Receiver, Text: string(e.What) + ": " + e.Detail})
	s.alerts.Consider(e)
}

// freeBytes is what a file system has left for us, and what it should have: a twentieth, or leastFreeBytes.
func freeBytes(dir string) (free, least int64, err error) {
	var st syscall.Statfs_t
	if err := syscall.Statfs(dir, &st); err != nil {
		return 0, 0, err
	}
	return int64(st.Bavail) * int64(st.Bsize), min(leastFreeBytes, int64(st.Blocks)*int64(st.Bsize)/20), nil
}

// keep deletes what is too old.
func (s *Station) keep(ctx context.Context, c *stationfile.Config, now time.Time) {
	limit := func(l stationfile.Limit) archive.Limit { return archive.Limit{Age: l.Age, Bytes: l.Bytes} }
	gone, err := s.archive.Keep(ctx, archive.Rules{Charts: limit(c.Keep.Charts), Texts: limit(c.Keep.Texts), Videos: limit(c.Keep.Videos)})
	if err != nil && ctx.Err() == nil {
		s.log.Error("what is too old is not deleted", "error", err)
	}
	if len(gone) > 0 {
		s.log.Info("deleted", "files_and_texts", len(gone), "reason", gone[0].Reason)
	}
	for name, ring := range s.rings() {
		s.trim(ctx, name, ring, now)
	}
}

// rings are those of the receivers that keep sound.
func (s *Station) rings() map[string]*soundring.Ring {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	all := map[string]*soundring.Ring{}
	for name, w := range s.watches {
		if r := w.sound.now(); r != nil {
			all[name] = r
		}
	}
	return all
}

// trim deletes sound that is too old.
func (s *Station) trim(ctx context.Context, receiver string, ring *soundring.Ring, now time.Time) {
	pieces, err := ring.Trim(now, func(begin, end time.Time) bool {
		favourite, err := s.archive.Favourite(ctx, receiver, begin, end)
		return favourite || err != nil
	})
	if err != nil {
		s.log.Error("sound", "receiver", receiver, "error", err)
	}
	for _, p := range pieces {
		path, err := filepath.Rel(s.dir, p.Path)
		if err != nil {
			path = p.Path
		}
		s.archive.Deleted(archive.Deletion{At: now, Kind: archive.Sound, Path: path, Begun: p.Begin, Bytes: p.Bytes, Reason: "the oldest of " + receiver + " beyond its limit"})
	}
}

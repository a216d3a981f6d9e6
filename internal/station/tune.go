package station

import (
	"context"
	"errors"
	"fmt"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"time"

	"ionoscribe/internal/alerts"
	"ionoscribe/internal/fault"
	"ionoscribe/internal/mode"
	"ionoscribe/internal/modes"
	"ionoscribe/internal/programme"
	"ionoscribe/internal/stationfile"
)

// errTuned ends a connection whose receiver was tuned elsewhere.
var errTuned = errors.New("it was tuned elsewhere")

// middleHz is where in audio a transmission of any mode is put.
const middleHz = 1500.0

// tune has receivers tuned that the programme wants elsewhere, each by its command.
func (s *Station) tune(ctx context.Context, c *stationfile.Config, now time.Time) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	for _, w := range s.watches {
		r := w.config
		if r.Tune == nil {
			continue
		}
		o, ok := dueAt(c.Programme, r.Name, now)
		if !ok || w.tunedFor == o.Key() {
			continue
		}
		w.tunedFor = o.Key()
		dial := dialOf(o.Entry, r.Sideband)
		if dial == w.dialHz || w.dialHz == 0 && dial == r.DialHz {
			continue
		}
		go func() {
			if err := runTune(ctx, r, o.Entry, dial); err != nil {
				s.log.Error("tune", "receiver", r.Name, "error", err)
				s.tellIll(alerts.Event{What: alerts.TuneFailed, UTC: now, Receiver: r.Name, Entry: o.Entry.ID, Title: o.Entry.Title, Detail: err.Error()})
				return
			}
			s.mutex.Lock()
			w.dialHz = dial
			s.mutex.Unlock()
			s.log.Info("tuned", "receiver", r.Name, "dial_hz", dial, "for", o.Entry.Title)
			w.again(errTuned)
		}()
	}
}

// dueAt is the occurrence that a receiver is wanted for at a time, of several that which began last.
func dueAt(entries []programme.Entry, receiver string, now time.Time) (due programme.Occurrence, ok bool) {
	const longest = 24 * time.Hour
	for _, o := range programme.Between(entries, now.Add(-longest), now.Add(longest)) {
		e := o.Entry
		until := o.Closes
		if end := o.Ends(); end.After(until) {
			until = end
		}
		if o.Opens.After(now) || !until.After(now) || e.FrequencyHz == 0 || len(e.Receivers) > 0 && !slices.Contains(e.Receivers, receiver) {
			continue
		}
		due, ok = o, true
	}
	return due, ok
}

// dialOf is where a receiver is tuned to so that a transmission lies in its audio where its mode is heard best.
func dialOf(e programme.Entry, sideband string) float64 {
	hz := middleHz
	if m := mode.Find(modes.All, e.Mode); m != nil {
		hz = m.AudioHz
	}
	if sideband == "lower" {
		return e.FrequencyHz + hz
	}
	return e.FrequencyHz - hz
}

// runTune runs the command of a receiver.
func runTune(ctx context.Context, r stationfile.Receiver, e programme.Entry, dialHz float64) error {
	ctx, cancel := context.WithTimeout(ctx, r.Tune.Timeout)
	defer cancel()
	fill := strings.NewReplacer("{receiver}", r.Name, "{hz}", strconv.FormatFloat(dialHz, 'f', 0, 64), "{khz}", strconv.FormatFloat(dialHz/1000, 'f', -1, 64),
		"{sideband}", r.Sideband, "{mode}", e.Mode)
	args := make([]string, len(r.Tune.Command))
	for i, a := range r.Tune.Command {
		args[i] = fill.Replace(a)
	}
	out, err := exec.CommandContext(ctx, args[0], args[1:]...).CombinedOutput()
	if err != nil {
		return fmt.Errorf("%s: %w: %s", args[0], err, fault.OneLine(string(out)))
	}
	return nil
}

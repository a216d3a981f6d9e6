package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"ionoscribe/audio"
	"ionoscribe/internal/flags"

	"github.com/spf13/pflag"
)

// sourceOptions say how to read the sources.
type sourceOptions struct {
	rate     float64
	encoding string
	channels int
	channel  string
	iq       string
	dial     frequency // on the air
	tune     tuning    // within complex samples
	start    string
	notes    io.Writer // gets a line on what a live source lost
}

func (o *sourceOptions) addFlags(f *pflag.FlagSet) {
	flags.Under(flags.WhereFrom, f, func(f *pflag.FlagSet) {
		f.Float64Var(&o.rate, "rate", 0, "`Hz`: sample rate of raw samples")
		f.StringVar(&o.encoding, "encoding", "", "`FORM` of raw samples: u8, s8, s16le, s24le, s32le, f32le, f64le, the same with be, alaw or mulaw; complex: cu8, cs8, cs16 or cf32")
		f.IntVar(&o.channels, "channels", 1, "`NUMBER` of channels of raw samples, interleaved")
		f.StringVar(&o.channel, "channel", "left", "`CHANNEL` to read: left, right, mix or its number from 1")
		f.StringVar(&o.iq, "iq", "", "read both channels as I and Q, in a `FORM`: normal, swapped or mirrored (a wrong sign of Q); the last two do the same")
		f.Var(&o.dial, "dial", "`FREQUENCY` on the air that the receiver is tuned to, its carrier's, such as 7878.1kHz, or with --iq that of the middle (default: what the recording or its name tells)")
		f.Var(&o.tune, "tune", "`FREQUENCY` within the band of --iq to listen at, as a receiver in upper sideband does, which hears 100 to 4500 Hz above: on the air or, with a sign, from the middle")
		flags.Choices(f, "encoding", "u8", "s8", "s16le", "s24le", "s32le", "f32le", "f64le", "s16be", "s24be", "s32be", "f32be", "f64be", "alaw", "mulaw", "cu8", "cs8", "cs16", "cf32")
		flags.Choices(f, "channel", "left", "right", "mix")
		flags.Choices(f, "iq", audio.IQNormal, audio.IQSwapped, audio.IQMirrored)
		f.StringVar(&o.start, "start", "", "`TIME` (UTC) of the first sample, such as 2026-03-04T12:00:00Z (default: found out)")
	})
}

// timeForms are tried in turn; without a zone they are UTC.
var timeForms = []string{time.RFC3339, "2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02 15:04"}

// opening is all that it takes to open a source.
type opening struct {
	audio.Options
	tune  tuning    // of a receiver on complex samples
	asIs  bool      // no channel was ordered but the usual one
	notes io.Writer // see sourceOptions
}

func (o sourceOptions) opening(in io.Reader) (opening, error) {
	a := opening{audio.Options{
		Rate: o.rate, Encoding: audio.Encoding(o.encoding), Channels: o.channels, Channel: o.channel, IQ: o.iq, Stdin: in, Dial: float64(o.dial),
	}, o.tune, o.iq == "" && (o.channel == "" || o.channel == "left"), o.notes}
	if o.channels < 1 {
		return a, usageError{fmt.Errorf("--channels %d: there is at least one", o.channels)}
	}
	if o.start == "" {
		return a, nil
	}
	if t, ok := parseTime(o.start); ok {
		if a.Start = t; !audio.UsableStart(a.Start) {
			return a, usageError{fmt.Errorf("--start %s: the year is not within 1900 and 9998", o.start)}
		}
		return a, nil
	}
	return a, usageError{fmt.Errorf("--start %q is not a time such as 2026-03-04T12:00:00Z", o.start)}
}

// parseTime reads a time in one of timeForms.
func parseTime(s string) (time.Time, bool) {
	for _, form := range timeForms {
		if t, err := time.Parse(form, strings.TrimSpace(s)); err == nil {
			return t.UTC(), true
		}
	}
	return time.Time{}, false
}

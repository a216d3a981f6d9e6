package audio

import (
	"encoding/binary"
	"math"
	"time"

	"ionoscribe/demod"
)

// bextStamp is the time in a broadcast extension chunk (EBU Tech 3285, section 2.3):
//
//	description[256] originator[32] reference[32] date[10] time[8] timeReference64 ...
//
// Date and time are those of origination, "yyyy-mm-dd" and "hh-mm-ss", where any of -_:. and space may
// separate. timeReference counts the samples from midnight to the first one.
type bextStamp struct {
	origin    time.Time // zero: not stated
	reference uint64    // samples
}

func (s *bextStamp) read(c *chunks) error {
	b, err := c.read(346)
	if err != nil || len(b) < 346 {
		return err
	}
	s.reference = binary.LittleEndian.Uint64(b[338:])
	date, clock := digits(b[320:330]), digits(b[330:338])
	if t, err := time.Parse("2006 01 02 15 04 05", date+" "+clock); err == nil && t.Year() >= 1900 {
		s.origin = t
	}
	return nil
}

// digits replaces all separators by spaces.
func digits(b []byte) string {
	out := make([]byte, len(b))
	for i, c := range b {
		out[i] = ' '
		if c >= '0' && c <= '9' {
			out[i] = c
		}
	}
	return string(out)
}

// start is the instant of the first sample, or zero. The time reference is exact and goes first, on that day
// which brings it nearest to the origination, because the two may lie on either side of midnight. A reference
// of 0, as recorders leave that do not know it, or of more than a day says nothing.
func (s *bextStamp) start(rate float64) time.Time {
	const day = 24 * time.Hour
	if s.origin.IsZero() || s.reference == 0 || float64(s.reference) >= day.Seconds()*rate {
		return s.origin
	}
	t := s.origin.Truncate(day).Add(demod.Rate(rate).Duration(int64(s.reference)))
	days := math.Round(s.origin.Sub(t).Hours() / 24)
	return t.Add(time.Duration(days) * day)
}

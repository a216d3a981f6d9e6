package demod

import (
	"math"
	"time"
)

// Rate is a number of samples per second. It is the one place where sample indices and time convert:
// float64 keeps them exact to a microsecond over years, where integer nanoseconds overflow within days.
type Rate float64

// Duration is the time that n samples take.
func (r Rate) Duration(n int64) time.Duration { return time.Duration(float64(n) / float64(r) * 1e9) }

// Samples is the number of samples nearest to the duration d.
func (r Rate) Samples(d time.Duration) int64 { return int64(math.Round(d.Seconds() * float64(r))) }

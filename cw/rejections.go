package cw

import (
	"math"
	"slices"
)

// rejections are pitches at which no Morse was found. They get no track for some time, so that others do.
type rejections struct {
	last [rejectionsKept]rejection
	n    int // in all
}

// rejection covers the pitches around one, until it expires.
type rejection struct {
	hz, reach float64 // from the middle of the band, to either side
	until     int64   // band sample
}

const (
	rejectionsKept = 64
	rejectSeconds  = 18 // after which a signal without a speed gives way to another: longer than recent samples are kept
	rejectedFor    = 2 * rejectSeconds
	nearHz         = 25.0 // between pitches that count as the same: the sidebands of dots at 60 words a minute
)

// add rejects the pitches within reach of one.
func (r *rejections) add(hz, reach float64, now int64) {
	r.last[r.n%rejectionsKept] = rejection{hz, reach, now + rejectedFor*bandRate}
	r.n++
}

// has says whether a pitch is rejected now.
func (r *rejections) has(hz float64, now int64) bool {
	return slices.ContainsFunc(r.last[:], func(x rejection) bool { return x.until > now && math.Abs(x.hz-hz) < x.reach })
}

// count is how many pitches are rejected now.
func (r *rejections) count(now int64) (n int) {
	for i, x := range r.last {
		if x.until > now && !slices.ContainsFunc(r.last[:i], func(o rejection) bool {
			return o.until > now && math.Abs(o.hz-x.hz) < nearHz
		}) {
			n++
		}
	}
	return n
}

package survey

import "math"

// line is a frequency at which something is heard that is not known yet.
type line struct {
	peak
	first, last int64 // frames of the looks that saw it
	seen        int   // looks
	trial       trial
}

// lines are those of late that no track explains.
type lines struct {
	frames   *frames
	spectrum *spectrum
	tracks   *tracks
	list     []*line
	iq       bool
}

const (
	nearHz       = 18.0 // within which a line is the same: less than what Morse of 20 words a minute is wide
	sameHz       = 8.0  // within which a line is where another one says: two bins
	sameAge      = 1.6  // seconds, within which lines of a signal are seen first: three looks
	sameRange    = 300.0
	patientLooks = 6 // after which a line that is not seen is forgotten
	mostLines    = 256
	dcHz         = 12.0 // of complex samples, where receivers have a spike: three bins
)

// update brings the lines up to date.
func (ls *lines) update() {
	now := ls.frames.count
	for _, p := range ls.spectrum.find() {
		if ls.iq && math.Abs(p.hz) < dcHz || ls.tracks.known(p) {
			continue
		}
		var l *line
		for _, k := range ls.list {
			if d := math.Abs(k.hz - p.hz); d < nearHz && (l == nil || d < math.Abs(l.hz-p.hz)) {
				l = k
			}
		}
		if l == nil {
			if len(ls.list) < mostLines {
				ls.list = append(ls.list, &line{peak: p, first: now, last: now, seen: 1, trial: trial{next: now + int64(firstTry/ls.frames.hopS)}})
			}
			continue
		}
		if l.last != now {
			l.peak = p
			l.seen++
		}
		l.last = now
	}
	ls.keep(func(l *line) bool { return now-l.last < patientLooks*lookFrames && !ls.tracks.known(l.peak) })
}

// drop forgets the lines that a track explains.
func (ls *lines) drop(t *track) { ls.keep(func(l *line) bool { return !t.covers(l.peak) }) }

func (ls *lines) keep(is func(*line) bool) {
	kept := ls.list[:0]
	for _, l := range ls.list {
		if is(l) {
			kept = append(kept, l)
		}
	}
	ls.list = kept
}

// density is what the lines say at a frequency.
func (ls *lines) density(hz float64) float64 {
	for _, l := range ls.list {
		if math.Abs(l.hz-hz) < sameHz {
			return l.density
		}
	}
	return 0
}

// apart is a line that is so many Hz above another, as old as it; fading leaves it within sameRange of its density.
func (ls *lines) apart(l *line, hz float64) *line {
	for _, o := range ls.list {
		if math.Abs(o.hz-l.hz-hz) < sameHz && math.Abs(ls.frames.seconds(o.first-l.first)) < sameAge &&
			o.density < sameRange*l.density && l.density < sameRange*o.density {
			return o
		}
	}
	return nil
}

// explain says that a density at a frequency may be that of sidebands of one of the lines.
func (ls *lines) explain(p peak) bool {
	for _, l := range ls.list {
		if skirt(p, l.hz, l.density) {
			return true
		}
	}
	return false
}

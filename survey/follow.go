package survey

import "math"

// tracker follows transmissions from their beginnings, which are in the past when they are found, to their ends.
type tracker struct {
	frames  *frames
	tracks  *tracks
	lines   *lines
	gauge   *gauge
	judging *judging
	events  Events
	endings []ending
	ids     int
}

// ending is where something ended lately: what begins there began after it.
type ending struct {
	low, high float64 // Hz
	frame     int64
}

const (
	mostTracks  = 500
	mostEndings = 64
	// partHz is by how many Hz what is part of a signal may surpass it.
	partHz = 100.0
	// sameSeconds is within what an area begins that was but the skirts of a signal.
	sameSeconds = 3.0
)

// open begins a track of what was found, which is there in a frame; it takes the place of carriers and others that were but parts
// of it.
func (r *tracker) open(t *track, from int64) {
	r.begin(t, from)
	r.relieve(t)
	kept := r.tracks.list[:0]
	for _, o := range r.tracks.list {
		switch {
		case !r.part(o, t):
			kept = append(kept, o)
			continue
		case o.Kind == Carrier:
			t.Begin = min(t.Begin, o.Begin)
		}
		if t.ID == 0 {
			t.ID = o.ID
		} else {
			r.emitEnded(o)
		}
	}
	r.tracks.list = kept
	changed := t.ID != 0
	if !changed {
		r.ids++
		t.ID = r.ids
	}
	t.measure(r.frames)
	r.lines.drop(t)
	if len(r.tracks.list) >= mostTracks {
		return
	}
	r.tracks.list = append(r.tracks.list, t)
	if changed {
		tell(r.events.Changed, t)
	} else {
		tell(r.events.Found, t)
	}
}

// part says that a track was but a part of one that was found now.
func (r *tracker) part(o, t *track) bool {
	if o.broad && o.LowHz < t.HighHz && o.HighHz > t.LowHz && math.Abs(float64(o.Begin-t.Begin)) < sameSeconds*r.frames.rate {
		return true
	}
	return o.mode == nil && (t.mode != nil || t.Kind == Carrier && o.Kind == Other) && o.LowHz > t.LowHz-partHz && o.HighHz < t.HighHz+partHz
}

const (
	backSeconds = 2.5 // of silence before a signal are no part of it
	// usualFrames, 3 s, are those whose strength is the usual one at first.
	usualFrames = 4 * windowFrames
	// What a track is counted and measured in surpasses its edges by sumHz: six bins.
	sumHz = 30.0
)

// begin looks for the beginning of a track in the past, from a frame in which it is there.
func (r *tracker) begin(t *track, from int64) {
	f := r.frames
	first := f.first()
	for _, e := range r.endings {
		if e.high > t.LowHz && e.low < t.HighHz {
			first = max(first, e.frame)
		}
	}
	t.usual, _ = r.gauge.strength(t, from-usualFrames, from)
	earliest := from
	if others := r.tracks.inBand(t); len(others) > 0 {
		earliest = r.beginAmong(t, others, first, from)
	} else {
		for k := from; k-windowFrames >= first && earliest-k < int64(backSeconds/f.hopS); k -= stepFrames {
			if r.gauge.present(t, k) {
				earliest = k
			}
		}
	}
	var noise float64
	t.level, noise = r.gauge.strength(t, earliest-windowFrames/2, min(earliest+2*windowFrames, f.count))
	least := t.edge(t.level, noise)
	at := max(earliest-windowFrames, first)
	for ; at < earliest+windowFrames; at++ {
		if v, _ := r.gauge.strength(t, at, at+1); v > least {
			break
		}
	}
	t.Begin = max(f.sample(at), f.base)
	if at == 0 {
		t.Begin = f.base
	}
	t.sum = newMeanSpectrum(f, t.LowHz-sumHz, t.HighHz+sumHz, t.noise)
	t.sum.add(at, f.count)
	t.heard = f.count
	t.End = r.gauge.end(t)
}

// usualShare is that of a new strength in the usual one, twice a second: a mean of some ten seconds.
const usualShare = 0.05

// follow brings a track up to the present; false: it has ended.
func (r *tracker) follow(t *track) bool {
	f := r.frames
	if t.gone {
		return false
	}
	if r.gauge.present(t, f.count) {
		level, _ := r.gauge.strength(t, f.count-windowFrames, f.count)
		t.usual += usualShare * (level - t.usual)
		t.sum.add(max(t.heard, f.count-lookFrames), f.count)
		t.heard = f.count
		t.End = r.gauge.end(t)
	}
	return f.seconds(f.count-t.heard) < t.shape.GapSeconds
}

// followAll brings all tracks up to the present.
func (r *tracker) followAll() {
	kept := r.tracks.list[:0]
	for _, t := range r.tracks.list {
		if r.follow(t) {
			r.again(t)
			kept = append(kept, t)
			continue
		}
		r.finish(t)
	}
	r.tracks.list = kept
}

// flush ends all tracks at the last sample.
func (r *tracker) flush() {
	for _, t := range r.tracks.list {
		if !t.gone && r.frames.count-t.heard < heardFrames { // it was there to the last
			t.End = r.gauge.ring.end
		}
		r.finish(t)
	}
	r.tracks.list, r.endings = r.tracks.list[:0], r.endings[:0]
}

func (r *tracker) finish(t *track) {
	t.measure(r.frames)
	r.trim(t)
	r.emitEnded(t)
}

// emitEnded tells that a track has ended, and remembers where.
func (r *tracker) emitEnded(t *track) {
	if len(r.endings) == mostEndings {
		r.endings = r.endings[:copy(r.endings, r.endings[1:])]
	}
	if !t.broad {
		r.endings = append(r.endings, ending{t.LowHz, t.HighHz, t.heard})
	}
	tell(r.events.Ended, t)
}

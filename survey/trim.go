package survey

// What is heard in the place of a signal soon after its end, such as the sidebands of a stronger one or syllables of
// speech, is no part of it.
const (
	// trimShare of its mean strength a signal has at least when it ends: what fades has less for some hundredths of the time
	// (Rayleigh distribution), and for less than a second.
	trimShare   = 0.04
	trimSeconds = 25.0 // that are looked at
	// pauseSeconds of silence and then no more than as much of a sound, before it is silent for good, are not it again: what
	// begins is treated in the same way.
	pauseSeconds = backSeconds
)

// trim puts the end of a track where it was heard last for certain.
func (r *tracker) trim(t *track) {
	if t.Kind == Other || t.broad || t.gone {
		return
	}
	f := r.frames
	least := 0.0
	if t.shape.Pair != nil { // one of whose two tones is hardly ever gone
		least = t.noise + trimShare*t.mean()
	}
	pause := int64(pauseSeconds / f.hopS)
	heard, seen := int64(0), int64(0) // the end as it seems, and the last frame before in which it is there
	first := max(t.heard-int64(trimSeconds/f.hopS), f.first()+windowFrames, (t.Begin-f.base)/f.hop+windowFrames)
	for k := t.heard; k > first; k -= stepFrames {
		level, _ := r.gauge.strength(t, k-windowFrames, k)
		if level < least || !r.gauge.present(t, k) {
			continue
		}
		if heard == 0 {
			heard = k
		} else if gap := seen - k; gap > pause && gap > heard-seen {
			heard = k
		}
		seen = k
	}
	if heard == 0 || heard >= t.heard-stepFrames {
		return
	}
	t.heard = heard
	t.End = r.gauge.end(t)
}

package survey

import (
	"slices"
)

// tracks are the transmissions that are known to be in the passband: they explain what is heard in their places.
type tracks struct {
	frames   *frames
	list     []*track
	supposed []controlTone // heard, and of nothing that is found yet
	tones    []controlTone // work space, see combs
}

// known says that a track explains a peak.
func (all *tracks) known(p peak) bool {
	return slices.ContainsFunc(all.list, func(t *track) bool { return t.covers(p) })
}

// explained says that a density in a bin may be that of a track other than t.
func (all *tracks) explained(t *track, bin int, density float64) bool {
	p := peak{hz: all.frames.hz(float64(bin)), density: density}
	return slices.ContainsFunc(all.list, func(o *track) bool { return o.Kind != Other && o != t && o.covers(p) })
}

const (
	// freeHz is what a cut keeps from the edge of another signal: as much as the edge of its filter takes.
	freeHz = edgeHz + 5
	// touchHz is the distance of another signal's edge from which on it is in the way.
	touchHz = 5.0
)

// free is a frequency, or what is nearer to a signal at hz if something else is between.
func (all *tracks) free(edge, hz float64) float64 {
	for _, t := range all.list {
		switch {
		case t.broad:
		case edge < hz && t.HighHz < hz && t.HighHz+touchHz > edge:
			edge = min((t.HighHz+hz)/2, t.HighHz+freeHz)
		case edge > hz && t.LowHz > hz && t.LowHz-touchHz < edge:
			edge = max((t.LowHz+hz)/2, t.LowHz-freeHz)
		}
	}
	return edge
}

const (
	wideTrackHz = 300.0 // a track wider than that raises the floor of all bins around
	holdHz      = 50.0  // beside it
)

// raiseFloor says that a wide track raises the floor at a frequency.
func (all *tracks) raiseFloor(hz float64) bool {
	return slices.ContainsFunc(all.list, func(t *track) bool {
		return hz > t.LowHz-holdHz && hz < t.HighHz+holdHz && t.HighHz-t.LowHz > wideTrackHz
	})
}

// inBand lists what is followed within the band of a fax, apart from carriers, which are mostly parts of it.
func (all *tracks) inBand(t *track) (in []*track) {
	if t.area() == nil {
		return nil
	}
	for _, o := range all.list {
		if o.mode != nil && !o.wide() && o.Hz > t.LowHz && o.Hz < t.HighHz {
			in = append(in, o)
		}
	}
	return in
}

// vacant are the spots of a fax in which none of the others is: at the lines of its control tone, if that was heard.
func (all *tracks) vacant(t *track, others []*track) (list []spot) {
	taken := func(hz float64) bool {
		if slices.ContainsFunc(others, func(o *track) bool { return hz > o.LowHz-amongHz && hz < o.HighHz+amongHz }) {
			return true
		}
		return t.control.known != 0 && !t.tone().near(hz, toneNearHz)
	}
	for i, free := t.spots[0].low, false; i <= t.spots[0].high; i++ {
		switch was := free; {
		case taken(all.frames.hz(float64(i))):
			free = false
		case was:
			list[len(list)-1].high = i
		default:
			list, free = append(list, spot{i, i}), true
		}
	}
	if len(list) == 0 {
		return t.spots
	}
	return list
}

func tell(hook func(Finding), t *track) {
	if hook != nil {
		hook(t.Finding)
	}
}

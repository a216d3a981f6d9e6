package survey

const (
	// mostTones is how many are remembered: there is seldom more than one fax at a time.
	mostTones = 8
)

// collectTones lists those that are supposed and those of what was found.
func (all *tracks) collectTones() {
	list := append(all.tones[:0], all.supposed...)
	for _, t := range all.list {
		if t.control.tone != 0 && len(list) < mostTones {
			from := (t.Begin - all.frames.base) / all.frames.hop
			list = append(list, controlTone{t.Hz, t.control.tone, from - 2, from + int64(t.control.frames)})
		}
	}
	all.tones = list
}

// combs says whether lines of a control tone are in a spot, and do not fill it.
func (all *tracks) combs(p spot, from, to int64) bool {
	all.collectTones()
	in := 0
	for i := p.low; i <= p.high && len(all.tones) > 0; i++ {
		for k := from; k < to; k++ {
			if all.comb(i, k) {
				in++
				break
			}
		}
	}
	return in > 0 && in < p.high-p.low+1
}

// comb says whether a line of a control tone, of those that combs collected, is in a bin of a frame.
func (all *tracks) comb(bin int, frame int64) bool {
	const reach = 1.2 * toneNearHz // and what a Hann window spreads
	for _, c := range all.tones {
		if frame >= c.from && frame <= c.to && c.reaches(all.frames.hz(float64(bin)), reach) {
			return true
		}
	}
	return false
}

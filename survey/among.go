package survey

import "math"

// A fax may begin in the very second in which a teleprinter or Morse within its band ceases. Then its power goes on in the
// places of theirs and theirs in its band, so that neither seems to end.

const (
	// amongShare of its strength is heard where a fax is: the sidebands of a teleprinter that is 15 dB stronger have less,
	// 150 Hz from it.
	amongShare = 0.1
	// amongHz beside a signal nothing tells of a fax.
	amongHz = 60.0
	// earlySeconds before a control tone was known it may have begun: the mean spectrum takes meanSeconds, and as much in
	// fading.
	earlySeconds = 2 * meanSeconds
)

// inBand lists what is followed within the band of a fax, apart from carriers, which are mostly parts of it.
func (s *Survey) inBand(t *track) (in []*track) {
	if t.area() == nil {
		return nil
	}
	for _, o := range s.tracks {
		if o.mode != nil && !o.wide() && o.Hz > t.LowHz && o.Hz < t.HighHz {
			in = append(in, o)
		}
	}
	return in
}

// beginAmong is the first frame, near enough, in which a fax is heard where others in its band leave it room: at the lines of
// its control tone, if that was heard.
func (s *Survey) beginAmong(t *track, others []*track, first, from int64) int64 {
	f := s.frames
	alone := *t
	alone.spots = s.vacant(t, others)
	rise := wideRise
	if t.announced != 0 {
		first = max(first, t.announced-int64(earlySeconds/f.hopS))
		from = min(from, t.announced+2*windowFrames)
		rise = thereRise
	}
	usual, _ := s.strength(&alone, from-4*windowFrames, from)
	at := from
	for k := from; k-windowFrames >= first && at-k < int64(backSeconds/f.hopS); k -= 2 {
		if level, noise := s.strength(&alone, k-windowFrames, k); level > max(rise*noise, amongShare*usual) {
			at = k
		}
	}
	return at
}

// vacant are the spots of a fax in which nothing else is.
func (s *Survey) vacant(t *track, others []*track) (list []spot) {
	f := s.frames
	taken := func(bin int) bool {
		hz := f.hz(float64(bin))
		for _, o := range others {
			if hz > o.LowHz-amongHz && hz < o.HighHz+amongHz {
				return true
			}
		}
		if t.announced == 0 {
			return false
		}
		d := hz - t.Hz
		return math.Abs(d-t.tone*math.Round(d/t.tone)) > toneNearHz
	}
	for i, free := t.spots[0].low, false; i <= t.spots[0].high; i++ {
		switch was := free; {
		case taken(i):
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

// relieve ends what was in the band of a fax before it and is not any more, as a decoder says.
func (s *Survey) relieve(t *track) {
	f := s.frames
	for _, o := range s.inBand(t) {
		begin := (t.Begin-f.base)/f.hop - 1
		if o.Begin >= t.Begin || begin < f.first() || s.isStill(o, t.Begin) {
			continue
		}
		for k := max(f.first(), begin-int64(o.shape.GapSeconds/f.hopS)); k <= begin; k++ {
			if s.present(o, k) {
				o.heard = k
			}
		}
		o.heard = min(o.heard, begin)
		o.End = s.end(o)
		o.gone = true
	}
}

// isStill says that a decoder receives a track in the time after a sample too.
func (s *Survey) isStill(o *track, after int64) bool {
	to := s.frames.end()
	length := 0.0
	for _, v := range stretches {
		if v <= float64(to-after)/s.config.SampleRate {
			length = v
		}
	}
	if length == 0 {
		return true // too short a time to tell
	}
	from := to - int64(length*s.config.SampleRate)
	const margin = 60
	low, high, least := o.LowHz, o.HighHz, 4 // characters
	if o.shape.Line != nil {
		low, high, least = o.Hz, o.Hz, 2
	}
	v := s.judge(o.mode, from, to, low-margin, high+margin, o.Hz, o.noise, o.Settings)
	return v.Is && v.Characters > least && v.Sure > o.shape.LeastSure
}

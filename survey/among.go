package survey

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
	// stillHz beside a signal is judged with it, and so many characters tell that it is still there: Morse has fewer of them in a
	// time.
	stillHz                    = 60.0
	stillChars, stillLineChars = 4, 2
)

// beginAmong is the first frame, near enough, in which a fax is heard where others in its band leave it room: at the lines of
// its control tone, if that was heard.
func (r *tracker) beginAmong(t *track, others []*track, first, from int64) int64 {
	f := r.frames
	alone := *t
	alone.spots = r.tracks.vacant(t, others)
	rise := wideRise
	if t.control.known != 0 {
		first = max(first, t.control.known-int64(earlySeconds/f.hopS))
		from = min(from, t.control.known+2*windowFrames)
		rise = thereRise
	}
	usual, _ := r.gauge.strength(&alone, from-usualFrames, from)
	at := from
	for k := from; k-windowFrames >= first && at-k < int64(backSeconds/f.hopS); k -= stepFrames {
		if level, noise := r.gauge.strength(&alone, k-windowFrames, k); level > max(rise*noise, amongShare*usual) {
			at = k
		}
	}
	return at
}

// relieve ends what was in the band of a fax before it and is not any more, as a decoder says.
func (r *tracker) relieve(t *track) {
	f := r.frames
	for _, o := range r.tracks.inBand(t) {
		begin := (t.Begin-f.base)/f.hop - 1
		if o.Begin >= t.Begin || begin < f.first() || r.isStill(o, t.Begin) {
			continue
		}
		for k := max(f.first(), begin-int64(o.shape.GapSeconds/f.hopS)); k <= begin; k++ {
			if r.gauge.present(o, k) {
				o.heard = k
			}
		}
		o.heard = min(o.heard, begin)
		o.End = r.gauge.end(o)
		o.gone = true
	}
}

// isStill says that a decoder receives a track in the time after a sample too.
func (r *tracker) isStill(o *track, after int64) bool {
	length := 0.0
	for _, v := range stretches {
		if v <= float64(r.frames.end()-after)/r.frames.rate {
			length = v
		}
	}
	if length == 0 {
		return true // too short a time to tell
	}
	c, least := candidate{o.LowHz, o.HighHz, o.Hz, o.noise}, stillChars
	if o.shape.Line != nil {
		c.low, c.high, least = o.Hz, o.Hz, stillLineChars
	}
	c.low, c.high = c.low-stillHz, c.high+stillHz
	v := r.judging.judge(o.mode, int64(length*r.frames.rate), c, o.Settings)
	return v.Is && v.Characters > least && v.Sure > o.shape.LeastSure
}

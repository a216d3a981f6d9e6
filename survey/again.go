package survey

// Judgements that follow the first, in seconds after it.
const (
	secondSeconds = 9.0
	laterSeconds  = 12.0
	mostJudged    = 3
	againSeconds  = 12.0 // that are judged
	// A pair is believed to be another one than at first, when its judge has more characters and is surer than need be, and
	// Morse to have another speed, with more characters than in a first judgement.
	againPairChars, againLineChars = 8, 4
	againSure                      = 0.1 // more than the least
)

// heardFrames is how long ago a track was heard at most that is there now: two looks.
const heardFrames = 2 * lookFrames

// again has a track judged again, on more of it: what is known of it may have been wrong.
func (r *tracker) again(t *track) {
	now := r.frames.count
	if t.next == 0 {
		t.next = now + int64(secondSeconds/r.frames.hopS)
		return
	}
	if now < t.next || t.judged >= mostJudged || now-t.heard > heardFrames || !r.judging.budget.admits(againChance, false) {
		return
	}
	defer r.judging.settle()
	t.next = now + int64(laterSeconds/r.frames.hopS)
	t.judged++
	t.measure(r.frames)
	length := r.judging.stretch(againSeconds)
	if length == 0 {
		return
	}
	before := t.Finding
	switch {
	case t.shape.Pair != nil:
		shift, _ := t.shape.Pair.Tones(t.Settings)
		v := r.judging.judge(t.mode, length, r.alone(t, t.Hz-shift/2, t.Hz+shift/2, pairMargin(shift)), t.shape.Pair.Guess(shift))
		if v.Is && v.Characters > againPairChars && v.Sure > t.shape.LeastSure+againSure && t.fits(v) {
			t.setPair(r.frames, v, t.Hz+v.Hz-t.shape.CutHz)
			t.judged = mostJudged
		}
	case t.shape.Line != nil:
		v := r.judging.judge(t.mode, length, r.alone(t, t.Hz, t.Hz, lineMarginHz), t.Settings)
		if v.Is && v.Characters > againLineChars {
			t.Settings, t.SNR, t.Confidence = v.Settings, v.SNR, v.Confidence
			t.judged = mostJudged
		}
	case t.area() != nil:
		a := t.area()
		if a.Complete(t.Settings) {
			return
		}
		if v := r.judging.judge(t.mode, length, r.alone(t, t.Hz-a.ReachHz, t.Hz+a.ReachHz, a.CutHz-a.ReachHz), nil); v.Is {
			t.Settings = a.Learn(t.Settings, v.Settings)
		}
	}
	if t.Finding != before {
		tell(r.events.Changed, t)
	}
}

// alone is a track as a candidate, with a margin on each side where nothing else is.
func (r *tracker) alone(t *track, low, high, marginHz float64) candidate {
	defer t.aside()()
	return candidate{r.tracks.free(low-marginHz, low), r.tracks.free(high+marginHz, high), t.Hz, t.noise}
}

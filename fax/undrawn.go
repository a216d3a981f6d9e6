package fax

import "sync"

// Undrawn is a chart that was heard and has not been drawn. Drawing one takes up to a minute, where an echo is found, and
// shares nothing with its decoder that the caller need heed: Draw may be called by another goroutine while the decoder goes on.
type Undrawn struct {
	video  *Video
	span   span
	config Config
	base   int64
	sender *sender
}

// sender is what the charts of a stream tell of the charts behind them.
type sender struct {
	mutex    sync.Mutex
	sideband float64 // that white is the higher frequency (see polarity.go)
	before   carried // line clock of an earlier chart
}

func newSender() *sender { return &sender{sideband: usualSideband} }

// Start is the sample index at which it begins, near enough.
func (u *Undrawn) Start() int64 {
	return u.base + int64(float64(u.span.from)*u.config.SampleRate/VideoRate)
}

// End is the sample index at which it ends, near enough.
func (u *Undrawn) End() int64 {
	return u.base + int64(float64(u.span.to)*u.config.SampleRate/VideoRate)
}

// Draw draws the chart, once. It returns nil if it is none: too short, or doubtful where that is not wanted. Charts of the
// same stream are drawn one after the other, in order, because each tells of the next one's sideband and line start.
func (u *Undrawn) Draw() *Chart {
	s := u.sender
	s.mutex.Lock()
	u.span.sideband, u.span.before = s.sideband, s.before
	s.mutex.Unlock()
	ch := finish(u.video, u.span, u.config)
	if ch == nil {
		return nil
	}
	ch.Start += u.base
	ch.End += u.base
	if u.span.ended == "" { // it goes on
		ch.Ended, ch.Video = EndedInput, nil
		return ch
	}
	if !u.config.Doubtful && ch.doubtful() {
		return nil
	}
	s.mutex.Lock()
	defer s.mutex.Unlock()
	s.sideband = nextSideband(ch.sideband)
	if next := ch.carry(u.config.LineStart); next.period != 0 {
		s.before = next
	}
	return ch
}

// SoFar is the chart that is being received as far as it has come, to be drawn without restoration and without its video;
// nil if there is none, or its line rate is not known yet.
func (d *Decoder) SoFar() *Undrawn {
	if d.chart == nil || d.chart.lpm == 0 {
		return nil
	}
	sp, c := *d.chart, d.config
	c.Plain = true
	sp.ended = ""
	if !sp.closing {
		sp.to = d.video.End()
	}
	return &Undrawn{video: d.video.soFar(), span: sp, config: c, base: d.base, sender: d.sender}
}

package fax

import "ionoscribe/fax/draw"

// Undrawn is a chart that was heard and has not been drawn. Drawing one takes up to a minute, where an echo is found, and
// shares nothing with its decoder that the caller need heed: Draw may be called by another goroutine while the decoder goes on.
type Undrawn struct {
	video  *Video
	heard  draw.Heard
	config Config
	base   int64
	sender *draw.Sender
}

// Start is the sample index at which it begins, near enough.
func (u *Undrawn) Start() int64 {
	return u.base + int64(float64(u.heard.From)*u.config.SampleRate/VideoRate)
}

// End is the sample index at which it ends, near enough.
func (u *Undrawn) End() int64 {
	return u.base + int64(float64(u.heard.To)*u.config.SampleRate/VideoRate)
}

// Draw draws the chart, once. It returns nil if it is none: too short, or doubtful where that is not wanted. Charts of the
// same stream are drawn one after the other, in order, because each tells of the next one's sideband and line start.
func (u *Undrawn) Draw() *Chart {
	ch := u.sender.Draw(u.video, u.heard, u.config.orders())
	if ch != nil {
		ch.Start += u.base
		ch.End += u.base
	}
	return ch
}

// SoFar is the chart that is being received as far as it has come, to be drawn without restoration and without its video;
// nil if there is none, or its line rate is not known yet.
func (d *Decoder) SoFar() *Undrawn {
	if d.chart == nil || d.chart.LPM == 0 {
		return nil
	}
	h, c := d.chart.Heard, d.config
	c.Plain = true
	if !d.chart.closing {
		h.To = d.video.End()
	}
	return &Undrawn{video: d.video.SoFar(), heard: h, config: c, base: d.base, sender: d.sender}
}

package fax

import (
	"fmt"
	"slices"

	"ionoscribe/fax/draw"
)

// Arriving is a chart that is being received, as far as it is known. With its video it is all that it takes to finish
// the chart without the decoder, as when that is no more.
type Arriving struct {
	Config Config  // of the decoder
	Base   int64   // sample index of video index 0
	From   int64   // video index where it begins
	IOC    int     // 576 or 288
	LPM    float64 // lines a minute
	Began  Began
}

// Arriving tells of the chart that is being received, once its line rate is known, and lends its video until the next
// call of the decoder; the video is nil if there is no chart.
func (d *Decoder) Arriving() (Arriving, *Video) {
	c := d.chart
	if c == nil || c.LPM == 0 {
		return Arriving{}, nil
	}
	return Arriving{Config: d.config, Base: d.base, From: c.From, IOC: c.IOC, LPM: c.LPM, Began: c.Began}, d.video
}

// Finish draws the chart as far as its video goes, which the chart then owns. It returns nil if that is too little, or
// a decoder would not deliver it, and fails if a is nothing that a decoder has told.
func (a Arriving) Finish(v *Video, how Ended) (*Chart, error) {
	if err := a.Config.check(); err != nil {
		return nil, err
	}
	switch {
	case !slices.Contains(LineRates, a.LPM):
		return nil, fmt.Errorf("fax: %g lines a minute is none of %v", a.LPM, LineRates)
	case a.IOC != 576 && a.IOC != 288:
		return nil, fmt.Errorf("fax: IOC %d is neither 576 nor 288", a.IOC)
	case a.From < v.First() || a.Base < -maxIndex || a.Base > maxIndex:
		return nil, fmt.Errorf("fax: the chart lies outside its video")
	case a.From > v.End():
		return nil, nil
	}
	h := draw.Heard{
		From: a.From, To: v.End(), SampleRate: a.Config.SampleRate, IOC: a.IOC, LPM: a.LPM, Began: a.Began, Ended: how,
	}
	ch := draw.NewSender().Draw(v, h, a.Config.orders())
	if ch == nil {
		return nil, nil
	}
	ch.Start += a.Base
	ch.End += a.Base
	return ch, nil
}

// maxIndex keeps sums of indices from overflow: years at any rate.
const maxIndex = 1 << 52

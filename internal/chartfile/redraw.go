package chartfile

import (
	"context"
	"fmt"
	"math"

	"ionoscribe/fax"
	"ionoscribe/fax/draw"
)

// Changes say how to draw a chart again. The zero value changes nothing.
type Changes struct {
	Shift       float64  `json:"shift,omitempty"`        // pixels by which the picture moves to the left: its line start moves to the right
	ClockPPM    *float64 `json:"clock_ppm,omitempty"`    // clock error; nil: as received
	LPM         float64  `json:"lpm,omitempty"`          // lines a minute; 0: as received
	IOC         int      `json:"ioc,omitempty"`          // index of cooperation; 0: as received
	DeviationHz float64  `json:"deviation_hz,omitempty"` // from the middle to black and white; 0: as received
	TuningHz    *float64 `json:"tuning_hz,omitempty"`    // middle between black and white less fax.CentreHz; nil: as received
	Invert      bool     `json:"invert,omitempty"`       // swaps black and white
	Black       *float64 `json:"black,omitempty"`        // brightness in [0,1] that is drawn black; nil: as received
	White       *float64 `json:"white,omitempty"`        // and white
	Plain       bool     `json:"plain,omitempty"`        // no restoration
}

// Redraw draws the chart again from its video with some changes. It fails if they leave what can be drawn.
func (c *Chart) Redraw(ch Changes) error { return c.RedrawContext(context.Background(), ch) }

// RedrawContext is Redraw, but gives up when ctx is done, with its error: to restore a chart takes seconds.
func (c *Chart) RedrawContext(ctx context.Context, ch Changes) error {
	d, info, err := c.Changed(ch)
	if err != nil {
		return err
	}
	m, quality, err := draw.DrawContext(ctx, c.Video, d)
	if err != nil {
		return err
	}
	info.Quality = quality
	c.Image, c.Drawing, c.Info = m, d, info
	return nil
}

// Changed is how the chart is drawn with some changes, and what is told of it then. It fails if they leave what can be drawn. The quality
// of lines is not measured anew.
func (c *Chart) Changed(ch Changes) (fax.Drawing, Info, error) {
	d, info := c.Drawing, c.Info
	if !(math.Abs(ch.Shift) <= float64(d.Columns)) {
		return d, info, fmt.Errorf("a shift of %v pixels is more than a line of %d", ch.Shift, d.Columns)
	}
	if ch.LPM != 0 || ch.ClockPPM != nil {
		length := d.Period * float64(d.Rows)
		if ch.LPM != 0 {
			info.LPM = ch.LPM
		}
		if ch.ClockPPM != nil {
			info.ClockPPM, info.SlantMeasured = *ch.ClockPPM, false
		}
		d.Period = fax.VideoRate * 60 / info.LPM * (1 + info.ClockPPM*1e-6)
		d.Rows = int(min(max(1, math.Round(length/d.Period)), math.MaxInt32))
	}
	if ch.IOC != 0 {
		info.IOC, d.Columns = ch.IOC, fax.Columns(ch.IOC)
	}
	if ch.Shift != 0 {
		d.Origin += ch.Shift * d.Period / float64(d.Columns)
		info.PhaseMeasured, info.LineStartConfidence = false, 0
	}
	if ch.DeviationHz != 0 {
		d.DeviationHz = ch.DeviationHz
	}
	if ch.TuningHz != nil {
		d.OffsetHz, info.TuningHz = *ch.TuningHz, *ch.TuningHz
	}
	if ch.Black != nil {
		d.Black = *ch.Black
	}
	if ch.White != nil {
		d.White = *ch.White
	}
	d.Inverted = d.Inverted != ch.Invert
	d.Plain = d.Plain || ch.Plain
	info.Lines = d.Rows
	return d, info, check(d)
}

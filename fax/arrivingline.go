package fax

import "ionoscribe/fax/draw"

// Lines of a chart that is coming in are drawn as they are sent, from where it begins: neither the line start nor the
// clock's error is known yet.

func (a Arriving) period() float64 { return 60 / a.LPM * VideoRate }

// Lines is how many lines of the chart are complete in its video.
func (a Arriving) Lines(v *Video) int { return int(float64(v.End()-a.From) / a.period()) }

// LineEnd is the sample index where a line ends, the first one being line 0.
func (a Arriving) LineEnd(line int) int64 {
	return a.Base + int64((float64(a.From)+float64(line+1)*a.period())*a.Config.SampleRate/VideoRate)
}

// Line draws one line of the chart, Columns(IOC) wide, without restoration; 255 is white. v is the chart's video.
func (a Arriving) Line(v *Video, line int) []byte {
	d := Drawing{
		Origin: float64(a.From) + float64(line)*a.period(), Period: a.period(), Columns: Columns(a.IOC), Rows: 1,
		DeviationHz: a.Config.DeviationHz, Inverted: a.Config.Sideband == Lower, White: 1, Plain: true,
	}
	if a.Config.CentreHz != 0 {
		d.OffsetHz = a.Config.CentreHz - CentreHz
	}
	m, _ := draw.Draw(v, d)
	return m.Pix
}

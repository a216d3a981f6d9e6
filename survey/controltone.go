package survey

import "math"

const (
	toneNearHz = 10.0 // within which a line is one of a control tone: two bins
	// mostLine is the highest line of a control tone of which more than a thousandth of the power is left, with a modulation
	// index up to 1.4 (combAmplitude).
	mostLine = 7
)

// controlTone is when and where the lines of a control tone are, which reach far and are no part of others.
type controlTone struct {
	hz, tone float64
	from, to int64 // frames
}

// near says that a frequency is within reach of one of the tone's lines, whichever it is.
func (c controlTone) near(hz, reach float64) bool {
	d := hz - c.hz
	return math.Abs(d-c.tone*math.Round(d/c.tone)) <= reach
}

// reaches is near for the lines that have power.
func (c controlTone) reaches(hz, reach float64) bool {
	d := hz - c.hz
	k := math.Round(d / c.tone)
	return math.Abs(d-k*c.tone) < reach && math.Abs(k) <= mostLine
}

package fax_test

import (
	"math"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

// A chart that is lost and comes back goes on where it was: the line start that phasing told is carried on, however the
// page shares out its margins.
func TestLineStartIsCarriedOn(t *testing.T) {
	layout := scenario.Layout{Style: "isobars", Left: 18, Right: 80, Frame: 2, Seed: 5}
	m := layout.Draw(scenario.Width, 260)
	x, sent := send(t, samples.FaxConfig{Picture: m, PhasingSeconds: 12, StopSeconds: -1, BlackSeconds: -1}, 8)
	from, to := int((sent.PictureStart()+20)*endRate), int((sent.PictureStart()+50)*endRate)
	copy(x[from:to], quiet(30, 3))
	c := plainConfig()
	c.LossSeconds = 10
	charts := hear(t, c, x, quiet(1, 4))
	if len(charts) != 2 {
		t.Fatalf("%d charts", len(charts))
	}
	a, b := charts[0], charts[1]
	if !a.PhaseMeasured || b.PhaseMeasured || b.Began != fax.BeganJoined {
		t.Fatalf("phase measured %v and %v, second %q", a.PhaseMeasured, b.PhaseMeasured, b.Began)
	}
	middle := b.Origin + float64(b.Rows/2)*b.Period
	late := math.Remainder((middle-a.Origin)/a.Period, 1) * scenario.Width
	t.Logf("%.2f pixels late, confidence %.3f", late, b.LineStartConfidence)
	if math.Abs(late) > 2 || b.LineStartConfidence < fax.LeastSure {
		t.Errorf("the second chart's lines begin %.2f pixels late, confidence %.3f", late, b.LineStartConfidence)
	}
}

// A bare page whose phasing was not heard leans by a pixel or more, because its lettering does not tell the clock closer.
// Behind a chart of the same sender it has that one's clock. TestLongClockIsCarriedOn has other lettering.
func TestClockIsCarriedOn(t *testing.T) { clockIsCarriedOn(t, scenario.Italic) }

func clockIsCarriedOn(t *testing.T, slopes ...scenario.Slope) {
	t.Parallel()
	for _, slope := range slopes {
		i := int(slope)
		m := scenario.Page{Typeface: 1 + 2*i, Slope: slope, Seed: uint64(i)}.Draw(scenario.Width, 860)
		x, sent := send(t, samples.FaxConfig{Picture: m, StopSeconds: -1, BlackSeconds: -1}, uint64(i))
		from, to := int((sent.PictureStart()+150)*endRate), int((sent.PictureStart()+180)*endRate)
		copy(x[from:to], quiet(30, 3))
		c := plainConfig()
		c.LossSeconds = 10
		charts := hear(t, c, x, quiet(1, 4))
		if len(charts) != 2 || charts[1].PhaseMeasured {
			t.Fatalf("%v: %d charts", slope, len(charts))
		}
		late := charts[1]
		pixels := 1e-6 * float64(late.Rows*late.Columns)
		lean := (late.ClockPPM - 20) * pixels
		t.Logf("%v: %.2f ± %.2f pixels of lean over %d rows", slope, lean, late.ClockDeviationPPM*pixels, late.Rows)
		if math.Abs(lean) > 0.3 {
			t.Errorf("%v: %.2f pixels of lean over %d rows", slope, lean, late.Rows)
		}
	}
}

package survey

import (
	"math"

	"ionoscribe/internal/mode"
)

// track is a finding that is followed.
type track struct {
	Finding
	mode    *mode.Mode // nil: it is of none
	shape   *mode.Shape
	spots   []spot
	noise   float64 // density around it when it was found
	level   float64 // density at the top of its mean spectrum
	usual   float64 // strength while it is there, in the mean of some seconds
	heard   int64   // frame
	next    int64   // frame of the next judgement
	judged  int
	sum     meanSpectrum // of the frames in which it is there
	broad   bool         // an area, in which other things may be
	gone    bool         // it has ended, whatever is heard in its place
	control control      // tone that announced it
}

// control is what is known of the tone that announced a fax.
type control struct {
	tone   float64 // Hz; 0: there was none
	frames float64 // for which its lines may be seen
	known  int64   // frame in which it was; 0: it is supposed from what followed
}

// spot is a range of bins in which a signal is.
type spot struct{ low, high int }

// Shapes of what is of no mode. Fading on the short waves has a spread of 0.1 Hz or more (ITU-R F.1487), so that no fade of a
// carrier takes 10 s; what else there is, such as speech, pauses for less than 5 s. Both have a margin of five bins.
var (
	carrierShape = &mode.Shape{GapSeconds: 10, Even: true, MarginHz: 25}
	otherShape   = &mode.Shape{GapSeconds: 5, MarginHz: 25}
)

// shapeOf is that of a mode, or of what is of none.
func shapeOf(k Kind, m *mode.Mode) *mode.Shape {
	switch {
	case m != nil:
		return &m.Shape
	case k == Carrier:
		return carrierShape
	}
	return otherShape
}

// area says how a track fills a range of frequencies by frequency modulation; nil: it does not.
func (t *track) area() *mode.Area { return t.shape.Area }

func (t *track) wide() bool { return t.broad || t.area() != nil }

const (
	// thereRise is the density over the noise with which a track is there: of some 11 independent values, as a spot of three bins
	// and a window have, the mean surpasses it once in 20000 times.
	thereRise = 2.6
	// wideRise is the same of what fills an area, of a hundred bins, whose mean strays little: it allows for noise that is no flat
	// one.
	wideRise = 1.5
)

func (t *track) rise() float64 {
	if t.wide() {
		return wideRise
	}
	return thereRise
}

// slowBaud is the rate up to which skirts are those of skirtLevel; with faster ones they are as much wider.
const slowBaud = 50.0

// covers says whether a frequency belongs to a track, and a density may be its sideband.
func (t *track) covers(p peak) bool {
	if t.broad {
		return false
	}
	margin, rate := t.shape.MarginHz, 1.0
	if p := t.shape.Pair; p != nil {
		_, baud := p.Tones(t.Settings)
		rate = max(baud/slowBaud, 1)
	}
	if p.hz > t.LowHz-margin && p.hz < t.HighHz+margin {
		return true
	}
	if t.control.tone != 0 && t.sum.frames < t.control.frames && t.tone().reaches(p.hz, toneNearHz) {
		return true
	}
	d := max(t.LowHz-p.hz, p.hz-t.HighHz)
	if t.shape.Phase != nil {
		return d < phaseSkirtHz && p.density < phaseSkirt*t.level
	}
	return d < skirtHz*rate && p.density < t.level*skirtLevel(d/rate)
}

// tone is where the lines of the tone that announced it are.
func (t *track) tone() controlTone { return controlTone{hz: t.Hz, tone: t.control.tone} }

// sideband says that a density may be that of the sidebands of a fax. At f from the centre, turns of the frequency between
// ±d of which the phase does not jump have (2d)²/(4π²(f²-d²)²) of the power each: the difference of the spectra of two
// tones that begin and end there.
func (t *track) sideband(p peak) bool {
	a := t.area()
	if a == nil {
		return false
	}
	d := a.DeviationHz
	f := p.hz - t.Hz
	if math.Abs(f) < a.ReachHz {
		return true
	}
	power := t.noise * snrHz * math.Pow(10, t.SNR/10)
	return p.density < t.noise+power*pictureTurns*4*d*d/(4*math.Pi*math.Pi*(f*f-d*d)*(f*f-d*d))
}

// pictureTurns a second are those from black to white and back of a dense picture: two lines with 400 of them.
const pictureTurns = 800.0

const (
	// pairEdgeHz is what the edges of a pair have beyond its keying: two bins.
	pairEdgeHz = 10.0
	// toneReach, in bauds, is half the width of a tone's spot: it holds most of the power of keying at random, whose spectrum
	// is 4 dB down there (sinc²).
	toneReach = 1.0 / 3
	leastSpot = 3 // bins
)

// setPair gives a track of two tones what a judge heard.
func (t *track) setPair(f *frames, v mode.Verdict, hz float64) {
	shift, baud := t.shape.Pair.Tones(v.Settings)
	t.Hz, t.Settings, t.Confidence = hz, v.Settings, v.Confidence
	half := baud/2 + pairEdgeHz
	t.LowHz, t.HighHz = hz-shift/2-half, hz+shift/2+half
	reach := baud * toneReach
	t.spots = t.spots[:0]
	for _, tone := range []float64{hz - shift/2, hz + shift/2} {
		p := spot{f.bin(tone - reach), f.bin(tone + reach)}
		for p.high-p.low < leastSpot-1 && p.high < f.bins-1 {
			p.high++
		}
		t.spots = append(t.spots, p)
	}
}

// aside temporarily ignores this track's edges, until the function it returns is called.
func (t *track) aside() func() {
	low, high := t.LowHz, t.HighHz
	t.LowHz, t.HighHz = math.Inf(-1), math.Inf(1)
	return func() { t.LowHz, t.HighHz = low, high }
}

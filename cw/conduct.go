package cw

// conduct has statistics of the marks of the last characters.
type conduct struct {
	unsteady  float64 // mean square of the steps of the level, in nats of amplitude
	coherence float64 // what their phase says, in nats a mark
	sure      float64 // confidence of the character
	decay     float64 // how much weaker dashes are at their end, in nats of amplitude
	misfit    float64 // how far their lengths are off
	loose     float64 // how far they stray, over what is thought of
	dotEnergy float64 // of a dot over the noise
	rejecting float64 // pitches that are rejected
}

// conduct gives mark statistics when a character ends.
func (t *track) conduct(c found, sure float64) conduct {
	a := float64(t.trellis.markAmp[c.end&(ring-1)])
	return conduct{
		t.unsteady, t.coherence.mean(), sure, t.decay, t.sender.misfit, t.sender.loose(),
		a * a * t.sender.mean[dotLength] / t.noise, float64(t.band.rejecting()),
	}
}

// strays tells how unsteady the level is, from 0, steady, to 1, more than noise makes it.
func (c conduct) strays() float64 {
	least := leastStray + min(strayNoise/c.dotEnergy, mostNoise)
	return min(max((c.unsteady-least)/(mostStray-leastStray), 0), 1)
}

// well says whether all statistics are usual for a signal.
func (c conduct) well() bool {
	steady := c.strays() < 1 || c.coherence > usualCoherence
	return steady && c.misfit < strayMisfit && c.loose < usualLoose && c.rejecting <= fewAround
}

// evidence is the evidence for Morse in the marks of a character, in nats. An unsteady level without phase coherence counts
// against Morse, since fading keeps the phase; less so if characters are sure, as when the pitch chirps; and a strong signal must
// then be clear too. Marks that decay are notes of music. Marks of any length count against Morse, since nobody keys so loosely.
// The more pitches around were rejected, the more evidence is needed.
func (c conduct) evidence() float64 {
	strays := c.strays()
	strong := min(1, c.dotEnergy/strongEnergy)
	x := strays * min(max(c.coherence-usualCoherence, -1.5), 0.3) * min(1, (1.2-c.sure)/0.4)
	x -= strays * strong * (unsureWeight*max(0, strongSure-c.sure) + strongMisfit*max(0, c.misfit-strayMisfit))
	x -= min(amongWeight*max(0, c.rejecting-fewAround), mostAround)
	x -= decayWeight * max(0, c.decay-usualDecay)
	x -= looseWeight * max(0, c.loose-usualLoose)
	return x - misfitWeight*max(0, c.misfit-usualMisfit)
}

// The figures lie between what marks of real signals, weak, keyed by hand or fading, and those of music are like:
// go test -v -run Conduct ./cw -args -long
const (
	leastStray, mostStray = 0.03, 0.08
	strayNoise            = 0.5  // over the energy of a dot;
	mostNoise             = 0.06 // weaker ones could not be copied
	usualCoherence        = 4.0
	decayWeight           = 4.0
	usualDecay            = 0.1
	usualMisfit           = 1.8
	misfitWeight          = 0.3
	usualLoose            = 0.8
	looseWeight           = 5.0
	amongWeight           = 0.03 // for each pitch that is rejected,
	fewAround             = 5    // beyond so many,
	mostAround            = 0.6  // up to this
	strongEnergy          = 60.0
	strongSure            = 0.95
	unsureWeight          = 4.0
	strayMisfit           = 1.5
	strongMisfit          = 0.6
)

// observe, set by tests only, is called with the statistics of every character that is judged.
var observe func(conduct)
